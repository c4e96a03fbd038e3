//! The benchmark of the main job: seconds by stage for a portfolio of generated sites, beside its floor.
//!
//! `cargo bench --bench portfolio` runs 1 000 and 10 000 sites; `cargo bench --bench portfolio -- 100000` the sizes named.
//! Every size runs in processes of its own, so that one peak of memory does not hide another.

#[path = "../sample/draws.rs"]
mod draws;
mod floor;
mod memory;
#[path = "../sample/meter_point.rs"]
mod meter_point;
mod sites;
#[path = "../splitmix.rs"]
mod splitmix;

use baywright::progress::Progress;
use baywright::run::{self, Settings};
use std::error::Error;
use std::path::Path;
use std::process::{Command, ExitCode};
use std::sync::atomic::AtomicBool;
use std::time::Instant;

/// Seconds of each stage, in the order they run.
type Stages = Vec<(&'static str, f64)>;

/// Runs the main job on `input`, writes the workbook to `result`, and times its stages.
fn main_job(input: &Path, result: &Path) -> Result<Stages, Box<dyn Error>> {
    let settings = Settings { portfolio: input.to_owned(), output: Some(result.to_owned()), ..Settings::default() };
    let stages = run::assess(&settings, &Progress::hidden(), &AtomicBool::new(false))?.stages;
    Ok(vec![
        ("read", stages.read.as_secs_f64()),
        ("judge", stages.judge.as_secs_f64()),
        ("rank", stages.rank.as_secs_f64()),
        ("write", stages.write.as_secs_f64()),
    ])
}

/// The floor: the same cells in and out with nothing between. `counted` is the workbook of the main job.
fn floor_job(input: &Path, counted: &Path, result: &Path) -> Result<Stages, Box<dyn Error>> {
    let held = floor::hold(counted)?;
    let start = Instant::now();
    std::hint::black_box(floor::read(input)?);
    let read_s = start.elapsed().as_secs_f64();
    let start = Instant::now();
    floor::write(result, &held)?;
    Ok(vec![("read", read_s), ("write", start.elapsed().as_secs_f64())])
}

/// What a child process found.
struct Found {
    stages: Vec<(String, f64)>,
    peak_mib: u64,
    own_mib: u64,
}

impl Found {
    fn seconds(&self) -> f64 {
        self.stages.iter().map(|(_, seconds)| seconds).sum()
    }
}

/// Runs this program again as `job` and reads what it prints.
fn in_a_child(job: &str, folder: &Path) -> Result<Found, Box<dyn Error>> {
    let output = Command::new(std::env::current_exe()?).arg("--child").arg(job).arg(folder).output()?;
    if !output.status.success() {
        return Err(format!("{job}: {}", String::from_utf8_lossy(&output.stderr)).into());
    }
    let mut found = Found { stages: Vec::new(), peak_mib: 0, own_mib: 0 };
    for line in String::from_utf8(output.stdout)?.lines() {
        match line.split('\t').collect::<Vec<_>>()[..] {
            ["stage", name, seconds] => found.stages.push((name.to_owned(), seconds.parse()?)),
            ["memory", peak, own] => (found.peak_mib, found.own_mib) = (peak.parse()?, own.parse()?),
            _ => {}
        }
    }
    Ok(found)
}

fn child(job: &str, folder: &Path) -> Result<(), Box<dyn Error>> {
    let (input, result, bare) = (folder.join("sites.xlsx"), folder.join("result.xlsx"), folder.join("floor.xlsx"));
    let watch = memory::Watch::start();
    let stages = match job {
        "floor" => floor_job(&input, &result, &bare)?,
        _ => main_job(&input, &result)?,
    };
    for (name, seconds) in stages {
        println!("stage\t{name}\t{seconds}");
    }
    let (peak, own) = watch.peaks_mib();
    println!("memory\t{peak}\t{own}");
    Ok(())
}

fn measure(size: u32) -> Result<(), Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    sites::write(&folder.path().join("sites.xlsx"), size)?;
    let job = in_a_child("job", folder.path())?;
    let cells = floor::read(&folder.path().join("result.xlsx"))?;
    let floor = in_a_child("floor", folder.path())?;
    println!("{size} sites in, {cells} cells out");
    for (label, found) in [("job", &job), ("floor", &floor)] {
        let stages: Vec<String> = found.stages.iter().map(|(name, seconds)| format!("{name} {seconds:.2}")).collect();
        println!(
            "  {label:<6} {:>8.2} s {:>9.0} rows/s   peak {:>5} MiB, own {:>5} MiB   {}",
            found.seconds(),
            f64::from(size) / found.seconds(),
            found.peak_mib,
            found.own_mib,
            stages.join(", ")
        );
    }
    println!("  ratio  {:>8.2}", job.seconds() / floor.seconds());
    Ok(())
}

fn run() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if let [flag, job, folder] = &arguments[..]
        && flag == "--child"
    {
        return child(job, Path::new(folder));
    }
    let mut sizes: Vec<u32> = arguments.iter().filter_map(|argument| argument.parse().ok()).collect();
    if sizes.is_empty() {
        sizes = vec![1_000, 10_000];
    }
    sizes.into_iter().try_for_each(measure)
}

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            eprintln!("benchmark: {fault}");
            ExitCode::FAILURE
        }
    }
}
