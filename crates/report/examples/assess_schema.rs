//! Prints the JSON schema of `assess --json`, which stands in docs/assess.schema.json.

use std::io::Write;

fn main() -> std::io::Result<()> {
    let schema = silkfall_report::wire::assess_schema();
    writeln!(std::io::stdout(), "{schema:#}")
}
