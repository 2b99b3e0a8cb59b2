//! 100,000 landings by the quick scheme, beside a general integrator of order 5 and for numpy: `bench-landing FOLDER`.
//!
//! Two stages from some 1500 m in a wind of 51 levels with doubt in each, one flight in ten with a failure, turbulence
//! off; all of it is invented, and drawn before the clock runs. Writes what was drawn and where it truly lands (our
//! reference at 1e-9) into the folder as plain numbers of 8 bytes, for the peer in numpy, and prints one line a scheme: its
//! name, seconds by the clock, seconds of processor, and how far it lands from the truth: 99.9 % within, and at most.

mod scene;

use std::fs;
use std::path::Path;
use std::time::Instant;

use rayon::prelude::*;
use silkfall_core::landing::{Descent, Landed, NoLanding, quick, reference};

use scene::Scene;

/// How exact the general integrator is asked to be, and the truth.
const GENERAL: f64 = 1e-6;
const TRUTH: f64 = 1e-9;
/// Runs of each scheme; the least counts, since others use the machine too.
const RUNS: usize = 3;

type Scheme = fn(&Descent) -> Result<Landed, NoLanding>;

fn main() {
    let folder = std::env::args().nth(1).expect("a folder to write to");
    let scene = Scene::draw();
    let schemes: [(&str, Scheme); 2] = [("quick", quick), ("general", |d| reference(d, GENERAL))];
    let truth = land(&scene, |d| reference(d, TRUTH)).places;
    scene.write(Path::new(&folder));
    write(&Path::new(&folder).join("truth.f64"), truth.iter().flatten().copied());
    for (name, scheme) in schemes {
        let runs: Vec<Run> = (0..RUNS).map(|_| land(&scene, scheme)).collect();
        let least = |of: fn(&Run) -> f64| runs.iter().map(of).fold(f64::INFINITY, f64::min);
        let mut apart: Vec<f64> =
            runs[0].places.iter().zip(&truth).map(|(a, b)| (a[0] - b[0]).hypot(a[1] - b[1])).collect();
        apart.sort_by(f64::total_cmp);
        println!(
            "{name} {:.4} {:.4} {:.4} {:.4}",
            least(|run| run.clock_s),
            least(|run| run.processor_s),
            apart[apart.len() - 1 - apart.len() / 1000],
            apart[apart.len() - 1]
        );
    }
}

struct Run {
    places: Vec<[f64; 2]>,
    clock_s: f64,
    processor_s: f64,
}

fn land(scene: &Scene, scheme: Scheme) -> Run {
    let (processor_s, begin) = (processor_s(), Instant::now());
    let places = (0..scene.trials.len())
        .into_par_iter()
        .with_min_len(256)
        .map(|i| scheme(&scene.descent(i)).expect("it comes down").place_m)
        .collect();
    Run { places, clock_s: begin.elapsed().as_secs_f64(), processor_s: self::processor_s() - processor_s }
}

/// Seconds that this process has had of all processors, by hundredths.
fn processor_s() -> f64 {
    let stat = fs::read_to_string("/proc/self/stat").expect("a system that tells its processes");
    let after_name = stat.rsplit(')').next().expect("a name in brackets");
    let ticks: Vec<f64> =
        after_name.split_whitespace().skip(11).take(2).map(|n| n.parse().expect("a number")).collect();
    ticks.iter().sum::<f64>() / 100.0
}

fn write(path: &Path, numbers: impl Iterator<Item = f64>) {
    let bytes: Vec<u8> = numbers.flat_map(f64::to_le_bytes).collect();
    fs::write(path, bytes).expect("a folder that can be written to");
}
