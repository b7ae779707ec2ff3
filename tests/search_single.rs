//! Searches for one channel, small enough to judge every one of them by itself: the rows, their order, their count, and what is
//! left when somebody stops them.

use quietpair::assess::{Verdict, judge};
use quietpair::finding::{Matter, Severity};
use quietpair::quantity::{Decibels, Frequency};
use quietpair::scenario::{NoFiles, Plan, read};
use quietpair::search::{Doing, Question, Row, Watch, answer_watched, candidate_count, rank};

fn plan(rest: &str) -> Plan {
    let text = format!(
        "
event: {{name: Test}}
rules: [uk]
licence: full
settings: {{order: 3}}
absent: [marine, marine-distress, emergency-network]
sites:
  hill: {{at: [54.4150, -0.5320], ground: 118 m}}
stations:
  - {{name: Talker, site: hill, radio: dual-band-mobile, power: low, talk: 145.4500}}
  - {{name: Other, site: hill, radio: dual-band-mobile, power: low, antenna: {{offset: {{east: 200 m, north: 0 m}}}}, talk: 145.5000}}
  - {{name: Ear, site: hill, radio: dual-band-mobile, antenna: {{offset: {{east: 0 m, north: 200 m}}}}}}
in_use:
  - {{name: Gateway, frequency: 145.2875, power: 5 W, at: [54.40, -0.60], listeners: {{nearest: 40 km}}}}
{rest}"
    );
    read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"))
}

/// What `check` says of one channel put to the plan: verdict, conflicts, cautions, least margin.
fn alone(kind: &str, channel: Frequency) -> (Verdict, usize, usize, Option<Decibels>) {
    let proposal = format!(
        "proposals:\n  - {{name: it, station: Ear, {kind}: {} Hz}}\n",
        channel.as_hz()
    );
    let plan = plan(&proposal);
    let found = judge(&plan, Some(&plan.proposals[0])).findings;
    let count = |severity| found.iter().filter(|one| one.severity == severity).count();
    let firm = found
        .iter()
        .filter(|one| one.matter == Matter::Interference && one.spared.is_none());
    (
        Verdict::of(&found),
        count(Severity::Conflict),
        count(Severity::Caution),
        firm.filter_map(|one| one.margin).min(),
    )
}

/// Of what conflicts a search counts no more than it must.
fn assert_says(row: &Row, kind: &str) {
    let (verdict, conflicts, cautions, margin) = alone(kind, row.legs[0]);
    assert_eq!(
        (row.verdict, row.worst_margin),
        (verdict, margin),
        "{row:?}"
    );
    if verdict == Verdict::Conflict {
        assert!((1..=conflicts).contains(&row.conflicts), "{row:?}");
        assert!(row.cautions <= cautions, "{row:?}");
    } else {
        assert_eq!((row.conflicts, row.cautions), (0, cautions), "{row:?}");
    }
}

/// In the order that the ranking promises: no conflict, the least margin in steps of the reserve of 6 dB, no caution, what the band
/// plan prefers, the fewest cautions, the lowest frequency. Cautions say nothing among conflicts.
fn key(row: &Row) -> (bool, i64, bool, i32, usize, Frequency) {
    let is_safe = row.conflicts == 0;
    let rung = row.worst_margin.map_or(i64::MAX, |margin| {
        format!("{:.0}", (margin.as_db() / 6.0).floor())
            .parse()
            .unwrap()
    });
    (
        row.conflicts > 0,
        rung.saturating_neg(),
        is_safe && row.cautions > 0,
        -row.preference,
        if is_safe { row.cautions } else { 0 },
        row.legs[0],
    )
}

fn assert_judged_alone(kind: &str, spans: &str, channels: &[i64]) {
    let search =
        format!("search:\n  - {{name: it, station: Ear, {kind}: {spans}, step: 25 kHz}}\n");
    let plan = plan(&search);
    let search = &plan.searches[0];
    assert_eq!(candidate_count(search), channels.len());
    let found = rank(&plan, search, channels.len());
    assert_eq!(
        (found.considered, found.judged),
        (channels.len(), channels.len())
    );
    let mut rest: Vec<Frequency> = channels.iter().map(|&hertz| Frequency::hz(hertz)).collect();
    for row in &found.rows {
        assert_says(row, kind);
        rest.retain(|one| *one != row.legs[0]);
    }
    let is_anything_safe = found.rows.iter().any(|row| row.conflicts == 0);
    for left in rest {
        // A channel that is refused is not shown while another is not.
        assert!(is_anything_safe && alone(kind, left).1 > 0, "{left}");
    }
    assert!(found.rows.len() > 1);
    let keys: Vec<_> = found.rows.iter().map(key).collect();
    assert!(keys.is_sorted(), "{keys:#?}");
}

#[test]
fn a_search_for_something_to_listen_to_judges_each_channel_of_its_stretches_once() {
    let channels: Vec<i64> = (145_200_000..=145_400_000).step_by(25_000).collect();
    assert_judged_alone("watch", "[145.2000-145.3500, 145.3000-145.4000]", &channels);
}

#[test]
fn safe_channels_to_listen_to_come_in_the_promised_order() {
    let channels: Vec<i64> = (436_250_000..=436_450_000).step_by(25_000).collect();
    assert_judged_alone("watch", "436.2500-436.4500", &channels);
    let plan =
        plan("search:\n  - {name: it, station: Ear, watch: 436.2500-436.4500, step: 25 kHz}\n");
    let rows = rank(&plan, &plan.searches[0], 9).rows;
    let (first, last) = (&rows[0], &rows[rows.len() - 1]);
    // 3 × 145.4500 MHz is at 436.3500 MHz, so that not all are alike.
    assert!(
        first.conflicts == 0 && key(first).1 != key(last).1,
        "{rows:#?}"
    );
}

#[test]
fn a_search_for_a_talk_channel_judges_each_of_its_stretches() {
    let channels = [145_300_000, 145_325_000, 145_600_000, 145_625_000];
    assert_judged_alone("talk", "[145.3000-145.3250, 145.6000-145.6250]", &channels);
}

#[test]
fn a_search_for_one_channel_that_is_stopped_has_judged_one_and_tells_it_truly() {
    let plan =
        plan("search:\n  - {name: it, station: Ear, watch: 145.2000-145.4000, step: 25 kHz}\n");
    let watch = Watch::default();
    watch.stop();
    assert!(watch.is_stopped());
    let question = Question {
        top: 5,
        is_every: true,
        ..Question::default()
    };
    let answer = answer_watched(&plan, &plan.searches[0], &question, &watch);
    assert!(!answer.ranking.is_finished && !answer.is_whole);
    assert_eq!(answer.ranking.judged, 1);
    let [row] = &answer.ranking.rows[..] else {
        panic!("{:?}", answer.ranking.rows);
    };
    assert_says(row, "watch");
    // Who is not stopped has come as far as there is to go.
    let watch = Watch::default();
    let answer = answer_watched(&plan, &plan.searches[0], &question, &watch);
    assert!(answer.ranking.is_finished && answer.is_whole);
    assert_eq!(watch.come().doing, Doing::Beside);
}

/// Where the public comes within 2.55 m of 50 W: on 2 m it should stay 2.6 m away, on 70 cm 2.5 m do. That is asked of a channel in place.
#[test]
fn what_a_check_of_the_whole_plan_finds_moves_a_channel_behind_those_without_it() {
    let text = "
event: {name: Test}
rules: [uk]
licence: full
settings: {order: 3}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Car, site: hill, radio: dual-band-mobile, power: 50 W, public: 2.55 m}
search:
  - {name: it, station: Car, talk: [145.4250, 433.4250, 433.5500], step: 25 kHz}
";
    let plan =
        read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"));
    for keep in [1, 2, 3] {
        let rows = rank(&plan, &plan.searches[0], keep).rows;
        let told: Vec<(i64, Verdict, &[&str])> = (rows.iter())
            .map(|row| (row.legs[0].as_hz(), row.verdict, &row.of_the_plan[..]))
            .collect();
        let all: [(i64, Verdict, &[&str]); 3] = [
            (433_425_000, Verdict::Clear, &[]),
            (433_550_000, Verdict::Clear, &[]),
            (145_425_000, Verdict::Caution, &["exposure"]),
        ];
        assert_eq!(told, all[..keep]);
    }
}
