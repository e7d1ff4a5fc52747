//! What makes the program at home on a system: its version, completions for shells, its manual page.
//!
//! Never here: words of a command; all of this is made from the one definition of them.

use super::{Arguments, print};
use anyhow::Result;
use clap::CommandFactory;

/// The program's version, and those of what it writes, which may stand still while it goes on.
pub(super) const VERSION: &str = concat!(
    env!("CARGO_PKG_VERSION"),
    " (site file format 1, journal format 1, assess --json schema 1)"
);

/// Prints the completions for a shell.
pub(super) fn completions(shell: clap_complete::Shell) -> Result<u8> {
    let mut out = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "linewright", &mut out);
    print(&String::from_utf8(out)?)
}

/// Prints the manual page, in the form that `man` reads, the commands' own options in it.
pub(super) fn manual() -> Result<u8> {
    let mut command = Arguments::command();
    command.build();
    let page = clap_mangen::Man::new(command.clone())
        .title("LINEWRIGHT")
        .section("1");
    let mut out = Vec::new();
    page.render_title(&mut out)?;
    page.render_name_section(&mut out)?;
    page.render_synopsis_section(&mut out)?;
    page.render_description_section(&mut out)?;
    page.render_options_section(&mut out)?;
    for one in command.get_subcommands().filter(|it| !it.is_hide_set()) {
        let page = clap_mangen::Man::new(one.clone());
        let mut part = Vec::new();
        page.render_synopsis_section(&mut part)?;
        page.render_description_section(&mut part)?;
        page.render_options_section(&mut part)?;
        // A command is a section, its own sections are parts of it.
        let part = String::from_utf8(part)?.replace(".SH ", ".SS ");
        let name = one.get_name();
        out.extend(format!(".SH \"COMMAND {}\"\n{part}", name.to_uppercase()).bytes());
    }
    page.render_extra_section(&mut out)?;
    print(&String::from_utf8(out)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::storage::{JOURNAL_FORMAT, format1};

    #[test]
    fn the_version_names_the_formats_that_are_written() {
        let wanted = format!(
            "(site file format {}, journal format {JOURNAL_FORMAT}, assess --json schema {})",
            format1::FORMAT,
            crate::report::SCHEMA
        );
        assert!(VERSION.ends_with(&wanted), "{wanted}");
    }
}
