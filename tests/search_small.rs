//! Searches small enough to judge every pair by itself: the rows, their order and what is told of them, for whatever a plan may
//! hold that makes one pair unlike another.

use std::cmp::Reverse;

use quietpair::assess::{Verdict, judge};
use quietpair::checks;
use quietpair::finding::{Finding, Matter, Severity};
use quietpair::quantity::{Decibels, Frequency, Span};
use quietpair::scenario::{Channel, NoFiles, Plan, Proposal, Search, SearchRange, Use, read};
use quietpair::search::{Row, candidate_count, pair_map, rank};

/// A relay between two bands, a search for its pair, and what else there is.
fn plan(legs: &str, rest: &str) -> Plan {
    let text = format!(
        "
event: {{name: Test}}
rules: [uk]
licence: full
settings: {{order: 3}}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {{at: [54.4150, -0.5320], ground: 118 m}}
  field: {{at: [54.4571, -0.6033], ground: 20 m}}
search:
  - {{name: it, station: Relay, cross_band: {legs}, step: 25 kHz}}
{rest}"
    );
    read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"))
}

const TOWN: &str = "in_use:
  - {name: Town, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43], antenna: 30 m, listeners: {nearest: 40 km}}
  - {name: Gateway, frequency: 145.2875, power: 5 W, at: [54.40, -0.60], listeners: {nearest: 40 km}}
";

fn channels(search: &Search, stretches: &[Span]) -> Vec<Frequency> {
    let step = usize::try_from(search.step.value.as_hz()).unwrap();
    let hertz = stretches
        .iter()
        .flat_map(|span| (span.low.as_hz()..=span.high.as_hz()).step_by(step));
    hertz.map(Frequency::hz).collect()
}

/// Every pair of a search, by plain counting.
fn pairs(search: &Search) -> Vec<[Frequency; 2]> {
    let SearchRange::CrossBand([first, second]) = &search.range else {
        panic!("{} is no search for pairs", search.name);
    };
    let [first, second] = [first, second].map(|stretches| channels(search, stretches));
    let with = |one: Frequency| second.iter().map(move |&other| [one, other]);
    first.iter().flat_map(|&one| with(one)).collect()
}

/// What `check` says of a pair put to the plan.
struct Judged {
    legs: Vec<Frequency>,
    verdict: Verdict,
    conflicts: usize,
    cautions: usize,
    /// Without what adds up in a receiver, which moves no row.
    weighed: usize,
    margin: Option<Decibels>,
    of_the_plan: Vec<&'static str>,
}

fn judged(plan: &Plan, search: &Search, legs: [Frequency; 2]) -> Judged {
    let proposal = Proposal {
        name: search.name.clone(),
        station: search.station,
        what: Use::CrossBand {
            legs: legs.map(|frequency| Channel {
                frequency,
                tone: search.tone,
            }),
        },
        place: "a test".into(),
    };
    let found = judge(plan, Some(&proposal)).findings;
    let count = |severity| found.iter().filter(|one| one.severity == severity).count();
    let firm = |one: &Finding| {
        one.margin
            .filter(|_| one.matter == Matter::Interference && one.spared.is_none())
    };
    let whole = |one: &&Finding| {
        checks::WHOLE
            .iter()
            .any(|check| check.topic.id == one.check)
    };
    let grave = found.iter().filter(|one| one.severity > Severity::Note);
    let mut of_the_plan: Vec<&str> = grave.filter(whole).map(|one| one.check).collect();
    of_the_plan.sort_unstable();
    of_the_plan.dedup();
    Judged {
        legs: legs.to_vec(),
        verdict: Verdict::of(&found),
        conflicts: count(Severity::Conflict),
        cautions: count(Severity::Caution),
        weighed: (found.iter())
            .filter(|one| one.severity == Severity::Caution && one.check != "build-up")
            .count(),
        margin: found.iter().filter_map(firm).min(),
        of_the_plan,
    }
}

/// In the order that a ranking promises: no conflict, the least margin in steps of the reserve of 6 dB, no caution, what the band
/// plan prefers, the fewest cautions, the lowest frequencies. Cautions say nothing among conflicts.
fn key(one: &Judged, preference: i32) -> impl Ord + use<> {
    let rung = one.margin.map_or(i64::MAX, |margin| {
        let steps = (margin.as_db() / 6.0).floor();
        format!("{steps:.0}").parse().unwrap()
    });
    let is_safe = one.conflicts == 0;
    let cautions = if is_safe { one.weighed } else { 0 };
    let place = (cautions, one.legs.clone());
    (
        !is_safe,
        Reverse(rung),
        cautions > 0,
        Reverse(preference),
        place,
    )
}

/// Of what conflicts a search counts no more than it must.
fn assert_says(row: &Row, one: &Judged) {
    assert_eq!(row.legs, one.legs);
    assert_eq!(
        (row.verdict, row.worst_margin),
        (one.verdict, one.margin),
        "{row:?}"
    );
    if one.verdict == Verdict::Conflict {
        assert!((1..=one.conflicts).contains(&row.conflicts), "{row:?}");
        assert!(row.cautions <= one.cautions, "{row:?}");
        // What adds up in a receiver is not asked of what is refused.
        let mut asked = one.of_the_plan.clone();
        asked.retain(|check| *check != "build-up");
        assert_eq!(row.of_the_plan, asked, "{row:?}");
    } else {
        assert_eq!((row.conflicts, row.cautions), (0, one.cautions), "{row:?}");
        assert_eq!(row.of_the_plan, one.of_the_plan, "{row:?}");
    }
}

/// The rows of a search are those of judging every pair by itself, however many are asked for; how many are safe, and of how many
/// a leg is refused.
fn assert_as_judged(plan: &Plan) -> (usize, usize) {
    let search = &plan.searches[0];
    let all = pairs(search);
    let found = rank(plan, search, all.len());
    assert!(found.is_finished);
    assert_eq!(candidate_count(search), all.len());
    assert_eq!(
        (found.considered, found.judged, found.looked_at),
        (all.len(), all.len(), all.len())
    );
    let judged: Vec<Judged> = all.iter().map(|&legs| judged(plan, search, legs)).collect();
    let mut expected: Vec<&Judged> = judged.iter().collect();
    let preference = |legs: &[Frequency]| -> i32 {
        let purpose = quietpair::law::Purpose::CrossBandRelay;
        legs.iter()
            .map(|&leg| plan.law.preference(leg, purpose).0)
            .sum()
    };
    expected.sort_by_cached_key(|one| key(one, preference(&one.legs)));
    let safe = expected.iter().filter(|one| one.conflicts == 0).count();
    // What is refused is only shown, and who blocks only told, where nothing else is.
    assert_eq!(found.blocked_by.is_some(), safe == 0);
    expected.truncate(if safe > 0 { safe } else { expected.len() });
    assert_eq!(found.rows.len(), expected.len());
    for (row, one) in found.rows.iter().zip(&expected) {
        assert_says(row, one);
        assert_eq!(row.preference, preference(&one.legs));
    }
    for keep in [0, 1, 2, expected.len().saturating_sub(1)] {
        let few = rank(plan, search, keep);
        assert_eq!(few.rows, found.rows[..keep.min(expected.len())], "{keep}");
        assert!(few.judged <= found.judged && few.is_finished);
    }
    let map = pair_map(plan, search).unwrap();
    assert_eq!((map.considered, map.refused.len()), (all.len(), all.len()));
    for (place, one) in judged.iter().enumerate() {
        // A map tells of what rests on the legs, which is all but what the checks of the whole plan find.
        if one.of_the_plan.is_empty() {
            assert_eq!(map.worst[place], one.margin, "{:?}", one.legs);
            assert_eq!(map.refused[place], one.conflicts > 0, "{:?}", one.legs);
        }
    }
    (safe, found.refused_by_a_leg)
}

/// Three channels by five; 145.05 and 145.65 MHz are those of the town's repeater, 145.3 MHz lies beside the gateway, and a marshal
/// whom control needs is deaf on the second of the three.
#[test]
fn where_one_is_deaf_on_a_channel_and_two_are_taken_what_is_left_is_safe() {
    let legs = "[433.4000-433.4500, [145.0500, 145.2500, 145.4000-145.4250, 145.6500]]";
    let stations = "stations:
  - {name: Relay, site: hill, radio: dual-band-mobile}
  - {name: Control, site: field, radio: dual-band-mobile, power: low, via: Relay, leg: 2m, needs: [Marshal]}
  - {name: Marshal, site: field, radio: handheld, via: Relay, leg: 70cm, filters: [{name: notch, at: 433.4150-433.4350, loss: 120 dB}]}
";
    let cut = plan(legs, &format!("{stations}{TOWN}"));
    let (safe, refused) = assert_as_judged(&cut);
    // Two by three; all with the one that the marshal does not hear, and the two on the channels of the repeater with the others.
    assert_eq!((safe, refused), (6, 5 + 2 * 2));
    let free = plan(
        legs,
        &format!("{}{TOWN}", stations.replace("120 dB", "1 dB")),
    );
    assert!(assert_as_judged(&free).0 > safe);
}

/// Whom the relay hears is what the packet station says on one of the channels.
#[test]
fn a_leg_on_a_channel_of_the_plan_is_judged_as_check_judges_it() {
    let stations = "stations:
  - {name: Relay, site: hill, radio: dual-band-mobile, power: low}
  - {name: Control, site: field, radio: dual-band-mobile, power: low, via: Relay, leg: 2m}
  - {name: Packet, site: field, radio: mobile-2m, power: low, talk: 145.4000}
  - {name: Post, site: field, radio: handheld, talk: 433.4250}
";
    let shared = plan(
        "[433.4000-433.4500, 145.3750-145.4250]",
        &format!("{stations}{TOWN}"),
    );
    assert_as_judged(&shared);
    let other_way = plan(
        "[145.3750-145.4250, 433.4000-433.4500]",
        &format!("{stations}{TOWN}"),
    );
    assert_as_judged(&other_way);
}

/// How near people come to an antenna makes the frequency matter: what is allowed rises with it.
#[test]
fn where_people_come_near_an_antenna_each_pair_is_asked_for_itself() {
    let stations = "stations:
  - {name: Relay, site: hill, radio: dual-band-mobile, power: 50 W, public: 1.5 m}
  - {name: Control, site: field, radio: dual-band-mobile, power: low, via: Relay, leg: 2m}
";
    assert_as_judged(&plan(
        "[[432.0000, 434.0000, 438.9000], [144.7750, 145.4250]]",
        stations,
    ));
}

/// What the law refuses on one side and a neighbour on the other: 147 MHz is open to nobody here.
#[test]
fn a_pair_of_which_either_leg_is_refused_is_counted_once() {
    let stations = "stations:
  - {name: Relay, site: hill, radio: dual-band-mobile, power: low}
  - {name: Marshal, site: field, radio: handheld, via: Relay, leg: 70cm}
";
    let both = plan(
        "[[145.0500, 145.4000, 147.0000], [433.4000-433.4500, 441.0000]]",
        &format!("{stations}{TOWN}"),
    );
    let (safe, refused) = assert_as_judged(&both);
    // Two of three with all four, the third with the one beyond the band.
    assert_eq!(refused, 2 * 4 + 1);
    assert!(safe <= 3);
    let nothing = plan(
        "[[145.0500, 147.0000], [433.4000-433.4500]]",
        &format!("{stations}{TOWN}"),
    );
    assert_eq!(assert_as_judged(&nothing), (0, 6));
}
