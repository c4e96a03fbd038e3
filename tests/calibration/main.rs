//! Are the odds true? Sites are drawn whole from the stated weights, facts are hidden at random, the sites are judged
//! as surveyed, and what was given 70 % must turn out ready in 70 of 100. And how far that gives way where the weights
//! are wrong.

#[path = "../splitmix.rs"]
mod splitmix;

mod drawn;
mod worth_of_knowing;

use baywright::estimate::PriceBook;
use baywright::rules::{Rules, Stance, default_rules};
use baywright::site::{Site, Verdict};
use baywright::verdict::{Context, judge};
use drawn::Drawn;

/// Sites drawn: all where the program is optimised, fewer where a judgement takes a long time.
const SITES: u64 = if cfg!(debug_assertions) { 1_500 } else { 48_000 };

/// Tenths of the scale with at least this many sites must be right within 3 points, others within 3 standard errors.
const LARGE_TENTH: f64 = 2_500.0;
const POINTS: f64 = 0.03;

fn context<'a>(rules: &'a Rules, odds: bool) -> Context<'a> {
    let as_of = jiff::civil::date(2026, 11, 25);
    Context { rules, prices: PriceBook::default_book(), stance: Stance::Screen, as_of, odds }
}

/// What was said of the sites of one tenth of the scale, and what they proved to be.
#[derive(Clone, Copy, Default)]
struct Tenth {
    sites: f64,
    said: f64,
    proved: f64,
}

/// Given odds against outcomes of one verdict, by tenths of the scale.
type Tenths = [Tenth; 10];

/// Draws sites, truths under `truth` and surveys judged under the default rules.
fn tenths(sites: u64, truth: &Rules) -> [Tenths; 3] {
    let threads = std::thread::available_parallelism().map_or(1, usize::from) as u64;
    let part = |from: u64| {
        let mut found = [Tenths::default(); 3];
        for trial in (from..sites).step_by(threads as usize) {
            let drawn = Drawn::of_trial(trial, truth);
            let odds = judge(&drawn.surveyed, &context(default_rules(), true)).odds.expect("odds were asked for");
            let proved = verdict_when_known(&drawn.known, truth);
            for (place, (chance, verdict)) in
                [(odds.ready, Verdict::Ready), (odds.marginal, Verdict::Marginal), (odds.blocked, Verdict::Blocked)]
                    .into_iter()
                    .enumerate()
            {
                let tenth = &mut found[place][((chance * 10.0) as usize).min(9)];
                tenth.sites += 1.0;
                tenth.said += chance;
                tenth.proved += f64::from(u8::from(proved == verdict));
            }
        }
        found
    };
    let found: Vec<[Tenths; 3]> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads).map(|from| scope.spawn(move || part(from))).collect();
        workers.into_iter().map(|worker| worker.join().expect("no panic")).collect()
    });
    let mut sum = [Tenths::default(); 3];
    for one in found {
        for (all, part) in sum.iter_mut().flatten().zip(one.iter().flatten()) {
            all.sites += part.sites;
            all.said += part.said;
            all.proved += part.proved;
        }
    }
    sum
}

/// The verdict of a site about which everything is known, by the whole judgement: a measured demand is then what it is.
fn verdict_when_known(site: &Site, rules: &Rules) -> Verdict {
    let mut exact = rules.clone();
    exact.demand.measured = [1.0, 1.0];
    judge(site, &context(&exact, false)).verdict
}

#[test]
fn what_is_given_seventy_turns_out_ready_in_seventy_of_a_hundred() {
    let found = tenths(SITES, default_rules());
    let mut large = 0;
    for (verdict, tenths) in ["ready", "marginal", "blocked"].into_iter().zip(&found) {
        for (place, tenth) in tenths.iter().enumerate().filter(|(_, tenth)| tenth.sites > 0.0) {
            let (said, proved) = (tenth.said / tenth.sites, tenth.proved / tenth.sites);
            let error = (said * (1.0 - said) / tenth.sites).sqrt();
            let is_large = tenth.sites >= LARGE_TENTH;
            large += usize::from(is_large);
            let allowed = if is_large { POINTS } else { 3.0 * error + 1e-9 };
            println!("{verdict} tenth {place}: {:.0} sites, said {said:.4}, proved {proved:.4}", tenth.sites);
            // A handful of sites in a tenth says little: one outcome more or less is let pass.
            let slack = if tenth.sites < 30.0 { 1.0 / tenth.sites } else { 0.0 };
            assert!(
                (said - proved).abs() <= allowed + slack,
                "{verdict}, tenth {place}: {:.0} sites said {said:.4}, proved {proved:.4}, allowed {allowed:.4}",
                tenth.sites
            );
        }
    }
    assert!(cfg!(debug_assertions) || large >= 12, "only {large} tenths hold {LARGE_TENTH} sites");
}

/// Weights that are wrong, with a name and the rules that say so.
const WRONG: [(&str, &str); 4] = [
    ("as stated", ""),
    (
        "twice as many loops",
        "[possible.looped_service.\"built before 1945\"]\nno = 0.6\nyes = 0.4\n\
         [possible.looped_service.\"built 1945 to 1969\"]\nno = 0.7\nyes = 0.3\n\
         [possible.looped_service.\"built 1970 to 1989\"]\nno = 0.9\nyes = 0.1\n",
    ),
    (
        "half as many loops",
        "[possible.looped_service.\"built before 1945\"]\nno = 0.9\nyes = 0.1\n\
         [possible.looped_service.\"built 1945 to 1969\"]\nno = 0.925\nyes = 0.075\n\
         [possible.looped_service.\"built 1970 to 1989\"]\nno = 0.975\nyes = 0.025\n",
    ),
    (
        "refusals and places on the street twice as often",
        "[possible.consent_status.\"nobody was asked about it\"]\ngranted = 0.8\nrefused = 0.2\n\
         [possible.parking_type.\"distance stated\"]\n\"off the street\" = 0.9\nnone = 0.1\n",
    ),
];

/// The mean of what was said of ready and the share that proved so, for each set of wrong weights: kept in
/// `wrong-weights.csv`, so that a change of the odds shows how they stand up to a wrong prior.
#[test]
fn wrong_weights_shift_the_odds_by_no_more_than_is_told() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/calibration");
    let mut told = String::from("weights,sites,said ready,proved ready,worst tenth off by\n");
    let sites = if cfg!(debug_assertions) { 300 } else { 12_000 };
    for (name, text) in WRONG {
        let path =
            std::env::temp_dir().join(format!("baywright-{}-{}.toml", std::process::id(), name.replace(' ', "-")));
        std::fs::write(&path, text).expect("a temporary file");
        let truth = baywright::rules::load_rules(&path).expect(name);
        std::fs::remove_file(&path).expect("its removal");
        let [ready, ..] = tenths(sites, &truth);
        let sum = |of: fn(&Tenth) -> f64| ready.iter().map(of).sum::<f64>();
        let (said, proved) = (sum(|t| t.said) / sum(|t| t.sites), sum(|t| t.proved) / sum(|t| t.sites));
        let off = |tenth: &Tenth| ((tenth.said - tenth.proved) / tenth.sites).abs();
        let worst = ready.iter().filter(|tenth| tenth.sites >= 300.0).map(off).fold(0.0, f64::max);
        told.push_str(&format!("{name},{sites},{said:.3},{proved:.3},{worst:.3}\n"));
        // Weights that are wrong by a factor of two move the share of sites that prove ready by a tenth at most.
        assert!((said - proved).abs() < 0.1, "{name}: said {said:.3}, proved {proved:.3}");
    }
    if cfg!(debug_assertions) {
        return;
    }
    let file = folder.join("wrong-weights.csv");
    if std::env::var_os("BAYWRIGHT_WRITE_CALIBRATION").is_some() {
        std::fs::write(&file, &told).expect("the report is written");
    }
    assert_eq!(std::fs::read_to_string(&file).expect("the report"), told, "BAYWRIGHT_WRITE_CALIBRATION=1 renews it");
}
