//! Prints the JSON schema of `silkfall.toml`, which stands in docs/silkfall.schema.json.

use std::io::Write;

fn main() -> std::io::Result<()> {
    std::io::stdout().write_all(silkfall_project::schema_json().as_bytes())
}
