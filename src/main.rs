//! The `linewright` program: hands over to the commands.

fn main() -> std::process::ExitCode {
    linewright::cli::main().into()
}
