//! Invented recordings of the generator as the program sees them.

use std::sync::Arc;

use pretend::{Campaign, DemoFile};
use silkfall_core::recording::{Channel, Recording, RowMap};
use silkfall_sheet::Input;

/// A campaign as intake hands it over.
pub fn input(name: &str, campaign: &Campaign) -> Input {
    Input {
        recording: Recording {
            name: name.to_owned(),
            time_s: Arc::from(campaign.time_s.as_slice()),
            value: Arc::from(campaign.value.as_slice()),
            channel: match campaign.channel {
                pretend::Channel::Height => Channel::PressureHeight,
                pretend::Channel::Pressure => Channel::Pressure,
            },
            temperature_k: None,
            segments: campaign.segments.clone(),
            rows: RowMap(vec![(0, 2)]),
        },
        columns: Vec::new(),
        reading: "--time 1:s --height 2:m".to_owned(),
        findings: Vec::new(),
    }
}

/// The demo's recording of that name.
pub fn demo(name: &str) -> DemoFile {
    pretend::demo().into_iter().find(|file| file.name == name).unwrap()
}

/// Stretches of recordings one after the other, a rest of a minute between: several configurations in one file.
pub fn joined(parts: &[&Input]) -> Input {
    let mut time_s: Vec<f64> = Vec::new();
    let mut value: Vec<f64> = Vec::new();
    for part in parts {
        let start_s = time_s.last().map_or(0.0, |last| last + 0.1);
        time_s.extend(part.recording.time_s.iter().map(|t| start_s + t));
        value.extend(part.recording.value.iter());
    }
    let mut whole = parts[0].clone();
    whole.recording.time_s = time_s.into();
    whole.recording.value = value.into();
    whole.recording.segments = vec![0];
    whole
}

/// The same recording with the samples of one drop following each other faster: it falls by that factor faster.
pub fn hurried(mut input: Input, samples: &std::ops::Range<usize>, factor: f64) -> Input {
    let old = input.recording.time_s.clone();
    let mut now_s = old[0];
    let steps = old.windows(2).enumerate().map(|(i, pair)| {
        let step_s = pair[1] - pair[0];
        if samples.contains(&i) { step_s / factor } else { step_s }
    });
    let mut time_s = vec![now_s];
    for step_s in steps {
        now_s += step_s;
        time_s.push(now_s);
    }
    input.recording.time_s = time_s.into();
    input
}

/// A project from text, with the demo's recordings under `logs/`.
pub fn folder(text: &str, offers: Option<Vec<silkfall_project::offers::Offer>>) -> silkfall_sheet::Folder {
    let parsed = silkfall_project::parse(text, offers);
    let recordings = pretend::demo()
        .iter()
        .filter(|file| text.contains(file.name))
        .map(|file| input(&format!("logs/{}", file.name), &file.campaign))
        .collect();
    silkfall_sheet::Folder {
        project: parsed.project.unwrap_or_else(|| panic!("{:?}\n{text}", parsed.findings)),
        recordings,
        findings: parsed.findings,
    }
}

/// The demo's project file as a person would write it.
pub fn demo_text() -> String {
    use std::fmt::Write as _;
    let mut text = String::from(
        "format = 1\nname = \"Sampling tube\"\n\n[site]\nelevation = \"372 m\"\nlatitude = \"47.9°\"\n\
         temperature = \"15 °C ± 6 K\"\nhumidity = \"60 % ± 15 %\"\n\n",
    );
    for (name, day) in [("april", pretend::FIRST_DAY), ("may", pretend::SECOND_DAY)] {
        write!(
            text,
            "[[session]]\nname = \"{name}\"\nelevation = \"{} m\"\nlatitude = \"{}°\"\ntemperature = \"{} °C ± 0.5 K\"\n\
             pressure = \"{} hPa ± 0.5 hPa\"\npressure_is = \"station\"\nhumidity = \"{} % ± 5 %\"\n\n",
            day.elevation_m, day.latitude_deg, day.temperature_c, day.station_pressure_hpa, day.humidity_percent
        )
        .expect("a string takes it");
    }
    for (serial, _) in pretend::MODEL_CANOPIES {
        write!(
            text,
            "[[canopy]]\nserial = \"{serial}\"\nshape = \"flat circular\"\ndiameter = \"0.92 m\"\ndiameter_is = \"nominal\"\n\
             line_length = \"0.95 m\"\nmass = \"{} kg ± 0.5 g\"\ncopy_of = \"plain-1.84\"\nscale = \"1/2\"\n\n",
            mass_of(serial)
        )
        .expect("a string takes it");
    }
    text.push_str(
        "[[canopy]]\nserial = \"C1\"\nshape = \"flat circular\"\ndiameter = \"1.20 m\"\ndiameter_is = \"nominal\"\n\
         line_length = \"1.2 m\"\nmass = \"0.072 kg\"\ncopy_of = \"plain-1.2\"\n\n\
         [[model]]\nname = \"half\"\nscale = \"1/2\"\nscale_copy = true\n\n\
         [[part]]\nname = \"tube\"\nmass = \"9.0 kg ± 50 g\"\n[part.body]\nshape = \"tube\"\nlength = \"2.6 m\"\n\
         diameter = \"0.30 m\"\nhangs = \"level\"\n[part.rig]\nshape = \"flat circular\"\nline_length = \"1.9 m\"\n\
         riser_length = \"3.6 m\"\ncount_at_most = 6\n\
         [[part.case]]\nname = \"all open\"\nopens = \"all\"\nlimit = \"6 m/s\"\n\
         [[part.case]]\nname = \"one stays shut\"\nopens = \"all but one\"\nlimit = \"7 m/s\"\nchance = \"2 %\"\n\
         [[part.case]]\nname = \"nothing opens\"\nopens = \"nothing\"\n\n\
         [[part]]\nname = \"capsule\"\nmass = \"0.64 kg\"\n[part.rig]\ncount_at_most = 1\n\
         [[part.case]]\nname = \"open\"\nopens = \"all\"\nlimit = \"5 m/s\"\n\
         [[part.case]]\nname = \"nothing opens\"\nopens = \"nothing\"\n\n",
    );
    for file in pretend::demo() {
        let stem = file.name.trim_end_matches(".csv");
        let of_capsule = stem == "capsule";
        write!(
            text,
            "[[test]]\nname = \"{stem}\"\npart = \"{}\"\n{}session = \"{}\"\nlogs = [\"logs/{}\"]\ncanopies = {:?}\nbody = \"{}\"\n\
             riser_length = \"{} m\"\n",
            if of_capsule { "capsule" } else { "tube" },
            if of_capsule { "" } else { "model = \"half\"\n" },
            if stem.ends_with("weight") { "april" } else { "may" },
            file.name,
            file.canopies,
            if stem.ends_with("weight") { "off" } else { "on" },
            file.risers_m,
        )
        .expect("a string takes it");
        for (item, kg) in &file.falls {
            let key = match *item {
                "weight" | "tube with ballast" | "capsule" => "load",
                "lines and risers" => "lines",
                "logger" => "logger",
                // Canopies are weighed each by itself.
                _ => continue,
            };
            writeln!(text, "{key} = \"{kg:.4} kg ± 1 g\"").expect("a string takes it");
        }
        text.push('\n');
    }
    text
}

/// A canopy's mass as the generator has it, kg.
fn mass_of(serial: &str) -> f64 {
    let item = format!("canopy {serial}");
    let files = pretend::demo();
    let masses = files.iter().flat_map(|file| &file.falls).find(|(name, _)| *name == item);
    masses.expect("every canopy flew").1
}
