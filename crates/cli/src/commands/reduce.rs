//! `silkfall reduce FILE..`: recordings of one configuration in, drops and the pooled rate out.

use anyhow::Context as _;
use silkfall_core::finding::Finding;
use silkfall_core::quantity::System;
use silkfall_report::{reduction_document, text, wire};
use silkfall_sheet::{Input, Moment, Outcome, ReduceOptions, Stretch};

use crate::{args, called, recordings, terminal};

/// Reads the recordings, reduces them and prints the result.
///
/// # Errors
/// When an option cannot be understood. A file that cannot be used is a finding; the others are still reduced.
pub fn run(arguments: &args::Reduce, system: System) -> anyhow::Result<Outcome> {
    let reading = recordings::reading(&arguments.reading)?;
    let options = options(arguments)?;
    let mut inputs: Vec<Input> = Vec::new();
    let mut refused: Vec<Finding> = Vec::new();
    for file in &arguments.files {
        match recordings::read(file, &reading) {
            Ok(input) => inputs.push(input),
            Err(findings) => refused.extend(findings),
        }
    }
    let mut reduction = silkfall_sheet::reduce(&inputs, &options);
    if !refused.is_empty() {
        reduction.outcome = Outcome::NoAnswer;
        reduction.findings.extend(refused);
    }
    if arguments.json {
        terminal::print_json(&wire::reduction_json(&reduction))?;
    } else {
        let document = reduction_document(&reduction, called::name());
        terminal::print(&text::render(&document, terminal::options(system)))?;
    }
    Ok(reduction.outcome)
}

fn options(arguments: &args::Reduce) -> anyhow::Result<ReduceOptions> {
    let mut options = ReduceOptions::default();
    for (name, text) in [
        ("air", &arguments.air),
        ("air-pressure", &arguments.air_pressure),
        ("humidity", &arguments.humidity),
        ("elevation", &arguments.elevation),
    ] {
        if let Some(text) = text {
            options.air.set(name, text).map_err(|e| anyhow::anyhow!("--{name}: {e}\nhint: {}", e.hint()))?;
        }
    }
    let moments = |name: &str, texts: &[String]| -> anyhow::Result<Vec<Moment>> {
        texts
            .iter()
            .map(|text| Moment::read(text).map_err(anyhow::Error::msg).with_context(|| format!("--{name}")))
            .collect()
    };
    options.set_aside = moments("set-aside", &arguments.set_aside)?;
    options.keep = moments("keep", &arguments.keep)?;
    if let Some(text) = &arguments.between {
        options.between = Some(Stretch::read(text).map_err(anyhow::Error::msg).context("--between")?);
    }
    Ok(options)
}
