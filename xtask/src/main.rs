//! The habits of this workspace, one command each: `cargo xtask COMMAND`.

mod checks;

use anyhow::bail;

fn main() -> anyhow::Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (command, rest) = match arguments.split_first() {
        Some((command, rest)) => (command.as_str(), rest),
        None => ("", &[][..]),
    };
    match command {
        "checks" => checks::run(rest),
        other => bail!("no command `{other}`; there are: checks"),
    }
}
