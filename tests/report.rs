//! The report: what is in it, that all of it hangs together, and that names are text and nothing else.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::{fs, io};

use quietpair::assess::{Verdict, judge};
use quietpair::quantity::{Decibels, Frequency, Offset, Span};
use quietpair::render::{PAGES, picture, picture_names};
use quietpair::report::{Part, Prepared, Report, report};
use quietpair::scenario::{Channel, Files, Plan, Proposal, SearchRange, Use, read};
use quietpair::search::pair_map;

/// Files beside a scenario.
struct Beside(PathBuf);

impl Files for Beside {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        fs::read(self.0.join(path))
    }
}

/// The plan of a file of the project.
fn plan(path: &str) -> Plan {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let bytes = fs::read(&path).unwrap();
    let name = path.file_name().unwrap().to_str().unwrap();
    let folder = path.parent().unwrap().to_path_buf();
    read(name, &bytes, &Beside(folder)).unwrap_or_else(|faults| panic!("{faults}"))
}

/// The same without its searches, which take long.
fn without_search(path: &str) -> Plan {
    let mut plan = plan(path);
    plan.searches.clear();
    plan
}

fn mhz(text: &str) -> Frequency {
    text.parse().unwrap()
}

fn written(report: &Report, format: &str) -> String {
    let page = PAGES.iter().find(|page| page.name == format).unwrap();
    (page.write)(report)
}

/// What stands in quotes behind a mark, everywhere.
fn quoted<'a>(page: &'a str, mark: &str) -> Vec<&'a str> {
    page.match_indices(mark)
        .filter_map(|(at, _)| page[at + mark.len()..].split('"').next())
        .collect()
}

const HARBOUR: &str = "scenarios/harbour-half-marathon.yaml";

#[test]
fn the_best_proposal_is_in_place_and_the_cards_say_what_to_set() {
    let plan = without_search(HARBOUR);
    let found = report(&plan, None, &Prepared::default());
    assert_eq!(found.overview.subject.as_deref(), Some("C"));
    assert_eq!(found.overview.verdict, Verdict::Caution);
    insta::assert_snapshot!("harbour_cards", written(&found, "cards"));
    insta::assert_snapshot!("harbour_channels", written(&found, "csv"));
    let relays = found
        .graph
        .knots
        .iter()
        .filter(|one| one.part == Part::PassesOn);
    assert!(relays.into_iter().any(|one| one.name == "Hill relay"));
    let over = found.times.over.unwrap();
    let operator = found.overview.operators.iter().map(|one| one.wait).max();
    assert_eq!(Some(over.wait), operator);
    assert!(over.wait < over.held && over.held < over.silent);
}

#[test]
fn a_proposal_that_conflicts_says_so_in_its_first_sentence() {
    let plan = without_search(HARBOUR);
    let proposal = plan.proposals.iter().find(|one| one.name == "A");
    let found = report(&plan, proposal, &Prepared::default());
    assert!(
        found.sentence.starts_with("Not like this"),
        "{}",
        found.sentence
    );
    assert!(
        found
            .subjects
            .iter()
            .any(|one| one.is_chosen && one.name.as_deref() == Some("A"))
    );
    // The third harmonic of the relay's own 2 m side lies on its 70 cm input.
    let landings = found.spectra.iter().flat_map(|one| &one.landings);
    let hurt: Vec<_> = landings.filter(|one| one.at == mhz("435.6750")).collect();
    assert!(
        hurt.iter().any(|one| one.margin.as_db() < -50.0),
        "{hurt:?}"
    );
}

/// The relay of the exercise is moved by the proposal: nothing of its old pair may be left, and what the move does not
/// touch must still be there.
#[test]
fn a_proposal_takes_the_place_of_what_the_station_did() {
    let plan = without_search("scenarios/county-search-exercise.yaml");
    let found = report(&plan, None, &Prepared::default());
    assert_eq!(found.overview.subject.as_deref(), Some("other relay pair"));
    let old = mhz("446.1000");
    let mut heard = found
        .findings
        .iter()
        .filter_map(|one| one.finding.victim.as_ref());
    assert!(heard.all(|victim| victim.frequency != old));
    let by_tracking = |one: &&quietpair::report::Found| {
        let sources = &one.finding.sources;
        !sources.is_empty()
            && sources
                .iter()
                .all(|source| source.name.starts_with("Tracking"))
    };
    assert!(found.findings.iter().any(|one| by_tracking(&one)));
    let named: BTreeSet<&str> = found.spectra.iter().map(|one| one.band.as_str()).collect();
    assert_eq!(named, BTreeSet::from(["2m", "70cm"]));
}

#[test]
fn every_link_of_a_page_has_its_place_and_no_place_is_there_twice() {
    for path in [
        "scenarios/county-search-exercise.yaml",
        "tests/browser/hostile.yaml",
    ] {
        let found = report(&without_search(path), None, &Prepared::default());
        let page = written(&found, "html");
        let places = quoted(&page, " id=\"");
        let once: BTreeSet<&str> = places.iter().copied().collect();
        assert_eq!(places.len(), once.len(), "{path}");
        let links = quoted(&page, "href=\"");
        assert!(links.len() > 20, "{path}");
        for link in links {
            let place = link
                .strip_prefix('#')
                .unwrap_or_else(|| panic!("{path}: {link}"));
            assert!(once.contains(place), "{path}: {link}");
        }
        for asked in [
            " src=\"", "http:", "https:", "@import", "url(h", "<img", "<link", "<iframe",
        ] {
            assert!(!page.contains(asked), "{path}: {asked}");
        }
    }
}

#[test]
fn a_name_with_markup_is_text_in_every_format_and_picture() {
    let plan = without_search("tests/browser/hostile.yaml");
    let found = report(&plan, None, &Prepared::default());
    let mut pages: Vec<String> = PAGES.iter().map(|page| (page.write)(&found)).collect();
    let drawn = picture_names(&found);
    assert!(drawn.len() > 4, "{drawn:?}");
    let html = pages.first().unwrap().clone();
    pages.extend(drawn.iter().map(|name| picture(&found, name).unwrap()));
    for page in &pages {
        let turned =
            |letter: char| matches!(letter, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
        assert!(!page.contains(turned));
    }
    // The cards and the table are text, where nothing is run.
    let marked_up = pages
        .iter()
        .filter(|page| page.starts_with("<!") || page.starts_with("<?"));
    for page in marked_up {
        for harm in [
            "<script>window",
            "<img",
            "<a href=javascript",
            "\" onload=\"",
        ] {
            assert!(!page.contains(harm), "{harm}");
        }
    }
    assert!(html.contains("&lt;script&gt;window.ran = 1&lt;/script&gt;"));
    assert_eq!(html.matches("<script").count(), 1, "ours alone");
}

#[test]
fn what_the_reader_says_of_it_stands_in_the_form() {
    let prepared = Prepared {
        by: Some("Net manager".to_owned()),
        at: Some("Friday evening".to_owned()),
    };
    let found = report(
        &without_search("scenarios/pre-event-check.yaml"),
        None,
        &prepared,
    );
    let page = written(&found, "html");
    assert!(page.contains("<dd>Net manager</dd>") && page.contains("<dd>Friday evening</dd>"));
    let unsaid = report(
        &without_search("scenarios/pre-event-check.yaml"),
        None,
        &Prepared::default(),
    );
    assert_eq!(unsaid.form.prepared_at, None);
}

/// The map takes legs apart and puts them together again; judging each pair whole is the plain way.
#[test]
fn the_map_of_pairs_is_what_judging_every_pair_gives() {
    let mut plan = plan("scenarios/alpine-rally.yaml");
    let mut search = plan.searches.remove(0);
    let span = |low: &str, high: &str| Span::between(mhz(low), mhz(high));
    search.range =
        SearchRange::CrossBand([vec![span("433.4", "433.5")], vec![span("145.2", "145.6")]]);
    search.step.value = Offset::hz(50_000);
    let map = pair_map(&plan, &search).unwrap();
    assert_eq!(
        (map.first.len(), map.second.len(), map.considered),
        (3, 9, 27)
    );
    let mut worst = Vec::new();
    let mut refused = Vec::new();
    for first in &map.first {
        for second in &map.second {
            let legs = [*first, *second].map(|frequency| Channel {
                frequency,
                tone: search.tone,
            });
            let proposal = Proposal {
                name: search.name.clone(),
                station: search.station,
                what: Use::CrossBand { legs },
                place: "search".into(),
            };
            let judged = judge(&plan, Some(&proposal));
            worst.push(judged.worst_margin);
            refused.push(judged.verdict == Verdict::Conflict);
        }
    }
    assert_eq!(map.worst, worst);
    assert_eq!(map.refused, refused);
    assert!(
        refused.contains(&true) && refused.contains(&false),
        "both must be seen"
    );
}

/// What the picture says of each pair: the stretch of its first leg, its second leg, and the shade it has in the legend.
#[test]
fn the_picture_of_the_pairs_says_of_each_what_the_map_gives_it() {
    let mut plan = plan("scenarios/alpine-rally.yaml");
    let span = |low: &str, high: &str| Span::between(mhz(low), mhz(high));
    plan.searches.truncate(1);
    let search = &mut plan.searches[0];
    search.range =
        SearchRange::CrossBand([vec![span("433.4", "433.6")], vec![span("145.2", "145.6")]]);
    search.step.value = Offset::hz(25_000);
    let mut found = report(&plan, None, &Prepared::default());
    let named = found.pairs[0].clone();
    let refused = &named.map.refused;
    assert!(refused.contains(&true) && refused.contains(&false));
    // Every shade, from one edge of it to the other.
    let margins = [-0.1, 0.0, 5.9, 6.0, 11.9, 12.0, 19.9, 20.0, 99.0];
    let all = found.pairs[0]
        .map
        .worst
        .iter_mut()
        .zip(margins.into_iter().cycle());
    all.for_each(|(worst, margin)| *worst = Some(Decibels::db(margin)));
    found.pairs[0].map.worst[0] = None;
    let shown = found.pairs[0].clone();
    let drawn = picture(&found, "pairs-1").unwrap();
    let titles = drawn.split("<title>").skip(1);
    let titles: Vec<&str> = titles
        .filter_map(|rest| rest.split("</title>").next())
        .collect();
    let map = &shown.map;
    let mut names = BTreeSet::new();
    for (column, first) in map.first.iter().enumerate() {
        for (row, second) in map.second.iter().enumerate() {
            let place = column * map.second.len() + row;
            let margin = map.worst[place].map_or(f64::INFINITY, Decibels::as_db);
            let name = match (map.refused[place], margin) {
                (true, _) => "conflict",
                (false, ..0.0) => "below 0 dB",
                (false, ..6.0) => "0 to 6 dB",
                (false, ..12.0) => "6 to 12 dB",
                (false, ..20.0) => "12 to 20 dB",
                _ => "20 dB and more",
            };
            let holds = |title: &&&str| {
                let (legs, said) = title.split_once(" MHz with ").unwrap_or_default();
                let (low, high) = legs.split_once(" to ").unwrap_or((legs, legs));
                let is_named = said == format!("{second}: {name}");
                is_named && (mhz(low)..=mhz(high)).contains(first)
            };
            assert_eq!(titles.iter().filter(holds).count(), 1, "{first} {second}");
            names.insert(name);
        }
    }
    assert_eq!(names.len(), 6, "{names:?}");
    let [one, other] = shown.chosen.unwrap();
    assert!(titles.contains(&format!("In place: {one} and {other}").as_str()));
    let refused = map.refused.iter().filter(|one| **one).count();
    assert!(drawn.contains(&format!("{refused} of them conflict")));

    // The quietest are those with most in hand that do not conflict.
    let map = &named.map;
    let in_hand = |worst: Option<Decibels>| worst.map_or(f64::INFINITY, Decibels::as_db);
    let best = named.best.iter().map(|(legs, worst)| {
        let column = map.first.iter().position(|one| *one == legs[0]).unwrap();
        let row = map.second.iter().position(|one| *one == legs[1]).unwrap();
        let place = column * map.second.len() + row;
        assert!(!map.refused[place] && map.worst[place] == *worst);
        in_hand(*worst)
    });
    let best: Vec<f64> = best.collect();
    assert!(best.is_sorted_by(|one, other| one >= other), "{best:?}");
    let least = best.last().copied().unwrap();
    let safe = map.worst.iter().zip(&map.refused).filter(|(_, no)| !**no);
    let better = safe.filter(|(worst, _)| in_hand(**worst) > least);
    assert!(better.count() < best.len());
}
