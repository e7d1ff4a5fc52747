//! Commands that open the terminal: a site, the demo, the list of recent sites.

use super::assess::{broken_in_short, reckon};
use super::here::{now, variable, who};
use super::site_file::{store_failure, strikes_itself};
use super::{Refusal, TerminalArguments, print, say};
use crate::report::{self, Assessment};
use crate::session::{Access as SessionAccess, Opening, Resume};
use crate::site::{Design, Log, Ref, Site};
use crate::storage::{self, Access, Disk, Notice, format1, places};
use crate::tui::{self, Place, Setup, Theme};
use anyhow::{Context, Result, bail};
use jiff::tz::TimeZone;
use std::io::IsTerminal;
use std::path::Path;
use std::sync::Arc;

/// The demo site as it ships.
const DEMO: &[u8] = include_bytes!("../../sites/glasshouse.ron");

fn is_terminal() -> bool {
    std::io::stdin().is_terminal() && std::io::stdout().is_terminal()
}

/// `linewright SITE.ron`.
pub(super) fn site(path: &Path, terminal: &TerminalArguments) -> Result<u8> {
    if !is_terminal() {
        return Err(Refusal::of(format!(
            "{}: opening a site wants a terminal; `linewright assess` prints it",
            path.display()
        )));
    }
    let who = who(terminal);
    let writer = storage::new_writer(path, &who, now());
    let opened =
        storage::open(Arc::new(Disk), path, &who, now(), &writer).map_err(store_failure)?;
    let (store, access) = match opened.access {
        Access::Writes(store) => (Some(store), SessionAccess::Writes),
        Access::ReadsOnly { held_by } => (None, SessionAccess::ReadsOnly(held_by)),
    };
    let offered = tui::offers(&opened.notices);
    let others = opened.notices.iter();
    let others = others.filter(|it| !matches!(it, Notice::Copy(_)));
    let mut notices: Vec<String> = others.map(ToString::to_string).collect();
    notices.extend(storage::clock_behind(&opened.site, now()).map(|it| it.to_string()));
    notices.extend(opened.site.log().rings().first().map(strikes_itself));
    notices.extend(broken_in_short(&opened.site));
    if let SessionAccess::ReadsOnly(held_by) = &access {
        notices.insert(0, format!("read only: {held_by}"));
    }
    let folder = places::Places::of_environment().state;
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let id = opened.site.id().clone();
    let resume = folder
        .as_deref()
        .and_then(|folder| places::load_resume(folder, &id, &whole))
        .and_then(|text| Resume::from_text(&text));
    if let Some(folder) = &folder {
        // The list of recent sites is a comfort; without it the path is typed.
        let _ = places::remember(folder, &whole);
    }
    let remember: Box<dyn Fn(&str)> = Box::new(move |text| {
        if let Some(folder) = &folder {
            // Where one stood is a comfort too; readings never depend on it.
            let _ = places::save_resume(folder, &id, &whole, text);
        }
    });
    let zone = zone(&opened.site);
    let opening = Opening {
        by: who.name.clone(),
        writer,
        at: now(),
        access,
        zone,
        ascii: terminal.ascii || !speaks_utf8(),
    };
    let theme = if std::env::var_os("NO_COLOR").is_some_and(|text| !text.is_empty()) {
        Theme::Plain
    } else {
        Theme::Colour
    };
    let place = Place {
        path: path.to_owned(),
        who,
    };
    let left = tui::run(Setup {
        site: opened.site,
        place,
        store,
        opening,
        resume,
        remember,
        notices,
        offered,
        theme,
    })
    .context("the terminal cannot be used")?;
    if let Some(words) = left.unsaved {
        say(words);
    }
    // What was recorded just now may have broken a signature: whoever leaves is told.
    let broken = left.site.iter().flat_map(broken_in_short);
    broken.for_each(say);
    let lost = left.unrecorded;
    if lost.is_empty() {
        return Ok(0);
    }
    let count = lost.len();
    let Some(site) = left.site else { return Ok(0) };
    let mut log = Log::default();
    for entry in lost {
        log.add(entry);
    }
    let rows = storage::write_log(&Site::new(site.id().clone(), site.elements().clone(), log));
    bail!("{count} entries are not on the disk; as rows of a spreadsheet they are\n{rows}")
}

/// `linewright --new SITE.ron`: a building that nobody has a schedule of, to be typed in.
pub(super) fn begin(path: &Path, name: Option<&str>, terminal: &TerminalArguments) -> Result<u8> {
    if path.exists() {
        return Err(Refusal::of(format!(
            "{}: is there already; without --new it is opened",
            path.display()
        )));
    }
    if !is_terminal() {
        return Err(Refusal::of(format!(
            "{}: typing a site in wants a terminal; `linewright import` makes one of a schedule",
            path.display()
        )));
    }
    let stem = path.file_stem().map(|stem| stem.to_string_lossy());
    let label = name.map_or_else(|| stem.unwrap_or_default().into_owned(), str::to_owned);
    let label = label.trim();
    if label.is_empty() {
        return Err(Refusal::of(
            "--name: nothing was found, what the building is called was wanted",
        ));
    }
    let writer = storage::new_writer(path, &who(terminal), now());
    storage::create(&Disk, path, &Site::begun(label, &writer)).map_err(store_failure)?;
    self::site(path, terminal)
}

/// The zone of the site, else this machine's.
fn zone(site: &Site) -> TimeZone {
    let own = match site.elements().settled(&Ref::Site) {
        Some(Design::Site(design)) => design.time_zone.as_deref(),
        _ => None,
    };
    own.and_then(|name| TimeZone::get(name).ok())
        .unwrap_or_else(TimeZone::system)
}

/// Whether the locale says that the terminal takes UTF-8; a Windows terminal does.
fn speaks_utf8() -> bool {
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"]
        .into_iter()
        .find_map(variable);
    cfg!(windows)
        || locale.is_some_and(|locale| locale.to_lowercase().replace('-', "").contains("utf8"))
}

/// `linewright demo`.
pub(super) fn demo(fresh: bool, terminal: &TerminalArguments) -> Result<u8> {
    let own = places::Places::of_environment()
        .data
        .map(|folder| folder.join("glasshouse.ron"));
    if !is_terminal() {
        let copy = own.filter(|path| path.exists() && !fresh);
        let site = match copy {
            Some(path) => {
                storage::read_only(&Disk, &path)
                    .map_err(store_failure)?
                    .site
            }
            None => format1::read("demo", DEMO).map_err(Refusal::of)?.site,
        };
        let analyst = reckon(&site, None);
        let assessment = Assessment::of(&site, &analyst, None);
        let assessment = assessment.with_visit_before(&site, &analyst, None);
        return print(&report::text(&site, &analyst, &assessment));
    }
    let path = own.context("no folder for user data here: set LINEWRIGHT_DATA_DIR to one")?;
    if fresh {
        set_aside(&path)?;
    }
    if !path.exists() {
        let demo = format1::read("demo", DEMO).map_err(Refusal::of)?.site;
        // A building of its own: neither where one stood in an older copy nor what was recorded there
        // belongs to it.
        let writer = storage::new_writer(&path, &who(terminal), now());
        let site = Site::new(
            Site::begun("", &writer).id().clone(),
            demo.elements().clone(),
            demo.log().clone(),
        );
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).with_context(|| format!("{}", folder.display()))?;
        }
        storage::create(&Disk, &path, &site).map_err(store_failure)?;
    }
    self::site(&path, terminal)
}

/// The copy there, with its journals, under another name: what was typed into a demo is not ours to
/// delete.
fn set_aside(path: &Path) -> Result<()> {
    if !path.exists() {
        return Ok(());
    }
    let stamp = now().strftime("%Y%m%d-%H%M%S").to_string();
    let aside = path.with_file_name(format!("glasshouse-{stamp}.ron"));
    storage::set_aside(&Disk, path, &aside).map_err(store_failure)?;
    say(format!("the demo as it was is kept in {}", aside.display()));
    Ok(())
}

/// `linewright` alone.
pub(super) fn recent() -> Result<u8> {
    let folder = places::Places::of_environment().state;
    let recent = folder.as_deref().map(places::recent).unwrap_or_default();
    if recent.is_empty() {
        say(
            "no site was opened yet. `linewright demo` opens the demo; `linewright --help` tells the rest.",
        );
        return Ok(0);
    }
    let mut out = String::from("sites opened last; open one with `linewright FILE`\n");
    for path in recent {
        let gone = if path.exists() {
            ""
        } else {
            "  (not there now)"
        };
        out.push_str(&format!("  {}{gone}\n", path.display()));
    }
    print(&out)
}
