//! What a search says is what judging its pairs one by one says, however it is asked.

use std::collections::{BTreeMap, BTreeSet};

use quietpair::assess::{Verdict, judge};
use quietpair::checks;
use quietpair::finding::{Finding, Matter, Severity};
use quietpair::law::Purpose;
use quietpair::quantity::{Decibels, Frequency, Offset, Span};
use quietpair::scenario::{Channel, NoFiles, Plan, Proposal, Search, SearchRange, Use, read};
use quietpair::search::{
    Answer, Question, Ranking, Row, Supposed, Trials, Watch, answer, answer_watched,
    candidate_count, rank,
};

mod plans;

use plans::{NEIGHBOURS, STATIONS, sample, scenarios};

/// A pair of a search, as a proposal.
fn proposed(search: &Search, legs: [Frequency; 2]) -> Proposal {
    let channel = |frequency| Channel {
        frequency,
        tone: search.tone,
    };
    Proposal {
        name: search.name.clone(),
        station: search.station,
        what: Use::CrossBand {
            legs: legs.map(channel),
        },
        place: "a test".into(),
    }
}

/// Every pair of a search, by plain counting.
fn pairs(search: &Search) -> Vec<[Frequency; 2]> {
    let SearchRange::CrossBand(legs) = &search.range else {
        panic!("{} is no search for pairs", search.name);
    };
    let [first, second] = legs.each_ref().map(|stretches| {
        let step = usize::try_from(search.step.value.as_hz()).unwrap();
        let hertz = stretches
            .iter()
            .flat_map(|span| (span.low.as_hz()..=span.high.as_hz()).step_by(step));
        hertz.map(Frequency::hz).collect::<Vec<_>>()
    });
    first
        .iter()
        .flat_map(|&one| second.iter().map(move |&other| [one, other]))
        .collect()
}

/// Verdict, conflicts, cautions and worst margin.
type Sum = (Verdict, usize, usize, Option<Decibels>);

/// What judging a pair as a proposal comes to, as `check` does it.
fn judged_alone(plan: &Plan, proposal: &Proposal) -> Sum {
    let findings = judge(plan, Some(proposal)).findings;
    let count = |severity| {
        findings
            .iter()
            .filter(|one| one.severity == severity)
            .count()
    };
    let firm = |one: &Finding| {
        one.margin
            .filter(|_| one.matter == Matter::Interference && one.spared.is_none())
    };
    (
        Verdict::of(&findings),
        count(Severity::Conflict),
        count(Severity::Caution),
        findings.iter().filter_map(firm).min(),
    )
}

/// Of what conflicts a search counts no more than it must.
fn assert_says(row: &Row, (verdict, conflicts, cautions, margin): Sum) {
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

#[test]
fn a_search_finds_of_every_pair_what_judging_it_alone_finds() {
    let plan = sample(&STATIONS, &NEIGHBOURS);
    let mut shared = 0;
    for search in &plan.searches {
        let all = pairs(search);
        assert_eq!(candidate_count(search), all.len());
        let found = rank(&plan, search, all.len());
        assert_eq!((found.considered, found.judged), (all.len(), all.len()));
        let rows: BTreeMap<&[Frequency], &Row> = found
            .rows
            .iter()
            .map(|row| (row.legs.as_slice(), row))
            .collect();
        assert_eq!(rows.len(), found.rows.len());
        let is_nothing_safe = found.rows.iter().all(|row| row.conflicts > 0);
        assert_eq!(
            is_nothing_safe,
            search.name == "nothing goes",
            "{:?}",
            found.refused
        );
        for legs in &all {
            shared += usize::from(plan.is_on(legs[1]));
            let alone = judged_alone(&plan, &proposed(search, *legs));
            match rows.get(legs.as_slice()) {
                Some(row) => assert_says(row, alone),
                // A pair that is refused is not shown while another is not.
                None => assert!(
                    !is_nothing_safe && alone.0 == Verdict::Conflict,
                    "{legs:?}: {alone:?}"
                ),
            }
        }
    }
    assert!(shared > 0, "no leg lies where the plan talks already");
}

/// A leg on a channel of the plan changes who is keyed with whom; there are more of these here than a search keeps.
#[test]
fn of_legs_on_channels_of_the_plan_a_search_finds_what_judging_each_pair_alone_finds() {
    let posts = [145_225, 145_250, 433_425, 433_450]
        .map(|khz| format!("{{name: Post {khz}, site: pier, radio: handheld, talk: {khz} kHz}}"));
    let stations = STATIONS.into_iter().chain(posts.iter().map(String::as_str));
    let plan = sample(&stations.collect::<Vec<_>>(), &NEIGHBOURS);
    let search = &plan.searches[0];
    let all = pairs(search);
    let on = |legs: &[Frequency]| legs.iter().filter(|leg| plan.is_on(**leg)).count();
    let count = |of: usize| all.iter().filter(|legs| on(*legs) == of).count();
    assert_eq!([count(1), count(2)], [3 * 6 + 2 * 5, 6]);
    let found = rank(&plan, search, all.len());
    let mut conflicts = 0;
    for row in &found.rows {
        let legs = [row.legs[0], row.legs[1]];
        assert_says(row, judged_alone(&plan, &proposed(search, legs)));
        conflicts += usize::from(row.verdict == Verdict::Conflict);
    }
    for legs in &all {
        let is_shown = found.rows.iter().any(|row| row.legs == legs);
        let (verdict, ..) = judged_alone(&plan, &proposed(search, *legs));
        assert!(is_shown || (conflicts == 0 && verdict == Verdict::Conflict));
    }
    let few = rank(&plan, search, 3);
    assert_eq!(few.rows, found.rows[..3]);
}

/// Where every channel of the one leg conflicts, the other leg is asked only as far as the least bad of these: of each pair the
/// worst must still be there.
#[test]
fn where_one_leg_always_conflicts_the_worst_of_the_other_is_still_found() {
    let plan = sample(&STATIONS, &NEIGHBOURS);
    let at = |hertz: i64| Frequency::hz(hertz);
    let one = |hertz: i64| Span::between(at(hertz), at(hertz));
    // Town's input and output, and what is as good as a step beside each; Coast's output among the others.
    let always = [145_050_000, 145_062_500, 145_637_500, 145_650_000].map(one);
    let others = vec![Span::between(at(433_050_000), at(433_400_000))];
    for range in [
        [others.clone(), always.to_vec()],
        [always.to_vec(), others.clone()],
    ] {
        let mut search = Search {
            range: SearchRange::CrossBand(range),
            ..plan.searches[0].clone()
        };
        search.step.value = Offset::hz(12_500);
        let all = pairs(&search);
        let found = rank(&plan, &search, all.len());
        assert_eq!((found.rows.len(), found.refused_by_a_leg), (116, 116));
        let mut margins = BTreeSet::new();
        for row in &found.rows {
            let legs = [row.legs[0], row.legs[1]];
            assert_says(row, judged_alone(&plan, &proposed(&search, legs)));
            margins.insert(row.worst_margin);
        }
        assert!(margins.len() > 5, "{margins:?}");
    }
}

/// The law refuses every leg, and what is met there is mild: a search must not stop at the first for want of the second.
#[test]
fn what_only_the_law_refuses_has_the_margin_that_check_gives() {
    let text = "event: {name: Weak}
rules: [uk]
licence: foundation
sites: {hill: {at: [54.4150, -0.5320], ground: 118 m}}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile, power: high}
in_use:
  - {name: Gateway, frequency: 145.2875, power: 5 W, at: [54.40, -0.60], listeners: {nearest: 40 km}}
search:
  - {name: pair, station: Relay, cross_band: [433.4500, 145.2000-145.2500], step: 12.5 kHz}
";
    let plan =
        read("weak.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|faults| panic!("{faults}"));
    let search = &plan.searches[0];
    let found = rank(&plan, search, pairs(search).len());
    let mut mild = 0;
    for row in &found.rows {
        let [first, second] = row.legs[..] else {
            panic!("{row:?}");
        };
        let alone = judged_alone(&plan, &proposed(search, [first, second]));
        assert_says(row, alone);
        let is_mild = row
            .worst_margin
            .is_none_or(|margin| margin > Decibels::ZERO);
        mild += usize::from(row.conflicts > 0 && is_mild);
    }
    assert!(mild > 0, "nothing is refused by the law alone");
}

/// The sample where the control station needs the marshal, whose antenna is deaf and dumb on one channel.
fn deaf_on(channel: Frequency) -> Plan {
    let off = Offset::hz(10_000);
    let marshal = format!(
        "{{name: Marshal, site: field, radio: handheld, via: Relay, leg: 70cm, \
         filters: [{{name: notch, at: {}-{}, loss: 120 dB}}]}}",
        (channel - off).digits(),
        (channel + off).digits()
    );
    let stations = [
        STATIONS[0],
        "{name: Control, site: field, radio: dual-band-mobile, power: low, via: Relay, leg: 2m, needs: [Marshal]}",
        &marshal,
        STATIONS[3],
    ];
    sample(&stations, &NEIGHBOURS)
}

#[test]
fn what_a_check_of_the_whole_plan_finds_moves_the_rows_as_it_moves_the_verdict_of_check() {
    let plain = sample(&STATIONS, &NEIGHBOURS);
    let best = rank(&plain, &plain.searches[0], 1).rows[0].legs.clone();
    let plan = deaf_on(best[0]);
    let search = &plan.searches[0];
    let all = pairs(search);
    let found = rank(&plan, search, all.len());
    let safe: BTreeSet<Vec<Frequency>> = found
        .rows
        .iter()
        .filter(|row| row.conflicts == 0)
        .map(|row| row.legs.clone())
        .collect();
    let (mut by_the_net, mut by_others) = (0, 0);
    for legs in &all {
        let proposal = proposed(search, *legs);
        let findings = judge(&plan, Some(&proposal)).findings;
        let conflicts = |is_whole: bool| {
            let of_whole = |one: &&Finding| {
                let mut ids = checks::WHOLE.iter().map(|check| check.topic.id);
                ids.any(|id| id == one.check) == is_whole
            };
            let found = findings.iter().filter(of_whole);
            found
                .filter(|one| one.severity == Severity::Conflict)
                .count()
        };
        let is_safe = conflicts(true) + conflicts(false) == 0;
        assert_eq!(safe.contains(legs.as_slice()), is_safe, "{legs:?}");
        by_the_net += usize::from(conflicts(true) > 0);
        by_others += usize::from(is_safe);
    }
    assert!(by_the_net > 0 && by_others > 0, "{by_the_net} {by_others}");
    // Where nothing else is searched, each row has what the whole plan has against it.
    let mut narrow = search.clone();
    if let SearchRange::CrossBand([first, _]) = &mut narrow.range {
        *first = vec![Span::between(best[0], best[0])];
    }
    let rows = rank(&plan, &narrow, all.len()).rows;
    assert!(!rows.is_empty());
    for row in rows {
        assert!(row.of_the_plan.contains(&"unreachable"), "{:?}", row.legs);
        let legs = [row.legs[0], row.legs[1]];
        assert_says(&row, judged_alone(&plan, &proposed(&narrow, legs)));
    }
    assert_eq!(rank(&plan, search, 3).rows, found.rows[..3]);
}

#[test]
fn every_search_of_the_scenarios_says_of_its_rows_what_check_says() {
    for (name, plan) in scenarios() {
        for search in &plan.searches {
            for row in rank(&plan, search, 2).rows {
                let proposal = put(search, &row.legs);
                println!("{name}, {}", search.name);
                assert_says(&row, judged_alone(&plan, &proposal));
            }
        }
    }
}

/// Legs of a search, as a proposal.
fn put(search: &Search, legs: &[Frequency]) -> Proposal {
    let channel = |frequency| Channel {
        frequency,
        tone: search.tone,
    };
    let first = channel(legs[0]);
    let what = match &search.range {
        SearchRange::CrossBand(_) => return proposed(search, [legs[0], legs[1]]),
        SearchRange::Watch(_) => Use::Watch {
            channel: first,
            wanted: None,
            from: None,
        },
        SearchRange::Talk(_) => Use::Talk {
            transmit: first.clone(),
            receive: first,
            purpose: Purpose::Simplex,
        },
    };
    Proposal {
        name: search.name.clone(),
        station: search.station,
        what,
        place: "a test".into(),
    }
}

#[test]
fn a_search_that_is_stopped_says_so_and_shows_rows_that_are_true() {
    let plan = sample(&STATIONS, &NEIGHBOURS);
    let mut search = plan.searches[0].clone();
    search.step.value = Offset::hz(5_000);
    let search = &search;
    let watch = Watch::default();
    watch.stop();
    let asked = Question {
        wants_front: true,
        ..question(100)
    };
    let answer = answer_watched(&plan, search, &asked, &watch);
    let ranking = &answer.ranking;
    assert!(!ranking.is_finished && !answer.is_whole);
    assert_eq!(answer.front, None);
    assert!(answer.groups.iter().all(|group| !group.is_whole));
    assert!(!ranking.rows.is_empty() && ranking.rows.len() <= 10);
    // One channel of each leg, and no other was begun.
    assert_eq!((ranking.judged, ranking.looked_at), (1, 1));
    assert!(ranking.considered > 100);
    for row in &ranking.rows {
        let legs = [row.legs[0], row.legs[1]];
        assert_says(row, judged_alone(&plan, &proposed(search, legs)));
    }
    let whole = answer_watched(&plan, search, &asked, &Watch::default());
    assert!(whole.ranking.is_finished && whole.is_whole && whole.front.is_some());
}

#[test]
fn fewer_rows_are_the_first_of_all_rows() {
    let plan = sample(&STATIONS, &NEIGHBOURS);
    for search in &plan.searches {
        let all = rank(&plan, search, candidate_count(search));
        let few = rank(&plan, search, 3);
        assert_eq!(few.rows, all.rows[..3]);
    }
}

/// So many channels that those of the longer side are judged only as far as they are of interest, from either side.
#[test]
fn channels_that_are_not_judged_would_not_come_among_the_rows() {
    let plan = sample(&STATIONS, &NEIGHBOURS);
    let span = |low: i64, high: i64| vec![Span::between(Frequency::hz(low), Frequency::hz(high))];
    let wide = span(433_000_000, 435_000_000);
    let narrow = span(145_600_000, 145_650_000);
    for range in [[wide.clone(), narrow.clone()], [narrow, wide]] {
        let search = Search {
            range: SearchRange::CrossBand(range),
            ..plan.searches[0].clone()
        };
        let all = rank(&plan, &search, candidate_count(&search));
        for keep in [1, 3] {
            let few = rank(&plan, &search, keep);
            assert_eq!(few.rows, all.rows[..keep]);
            // Some that conflict by themselves were not looked at.
            assert!(few.judged < all.judged);
            assert!(few.refused_by_a_leg < all.refused_by_a_leg);
        }
    }
}

#[test]
fn the_number_of_threads_does_not_show() {
    let plan = sample(&STATIONS, &NEIGHBOURS);
    let with = |threads: usize| -> Vec<Ranking> {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        pool.unwrap().install(|| {
            let searches = plan.searches.iter();
            searches.map(|search| rank(&plan, search, 3)).collect()
        })
    };
    assert_eq!(with(1), with(2));
}

/// A question of which nothing is asked but so many rows.
fn question(top: usize) -> Question {
    Question {
        top,
        ..Question::default()
    }
}

/// What makes two rows alike; the sample's reserve is the usual 6 dB.
#[expect(clippy::cast_possible_truncation, reason = "a margin of some decibels")]
fn likeness(row: &Row) -> (Verdict, Option<i64>, bool, i32, &str) {
    let rung = row
        .worst_margin
        .map(|margin| (margin.as_db() / 6.0).floor() as i64);
    (
        row.verdict,
        rung,
        // Of what conflicts not everything is counted before the rows stand.
        row.conflicts == 0 && row.cautions > 0,
        row.preference,
        &row.limit,
    )
}

/// Groups by plain joining: two rows are joined when one leg is the same and the other one step away.
fn joined(rows: &[Row], step: i64) -> Vec<BTreeSet<Vec<Frequency>>> {
    let mut sets: Vec<Vec<&Row>> = rows.iter().map(|row| vec![row]).collect();
    let touch = |one: &[&Row], other: &[&Row]| {
        one.iter().any(|a| {
            other.iter().any(|b| {
                let off: i64 = a
                    .legs
                    .iter()
                    .zip(&b.legs)
                    .map(|(a, b)| (*a - *b).abs().as_hz())
                    .sum();
                off == step && likeness(a) == likeness(b)
            })
        })
    };
    let two = |sets: &[Vec<&Row>]| {
        (0..sets.len()).find_map(|one| {
            let mut after = one + 1..sets.len();
            after
                .find(|&other| touch(&sets[one], &sets[other]))
                .map(|other| (one, other))
        })
    };
    while let Some((one, other)) = two(&sets) {
        let moved = sets.remove(other);
        sets[one].extend(moved);
    }
    sets.into_iter()
        .map(|set| set.into_iter().map(|row| row.legs.clone()).collect())
        .collect()
}

#[test]
fn groups_are_those_of_joining_every_row_with_its_neighbours() {
    let plan = sample(&STATIONS, &NEIGHBOURS);
    for search in &plan.searches {
        let all = rank(&plan, search, candidate_count(search)).rows;
        let plain = joined(&all, search.step.value.as_hz());
        let found = answer(&plan, search, &question(all.len()));
        assert_eq!(found.groups.len(), plain.len(), "{}", search.name);
        assert!(found.groups.len() < all.len(), "nothing is alike");
        for (row, group) in found.ranking.rows.iter().zip(&found.groups) {
            let members = plain.iter().find(|set| set.contains(&row.legs)).unwrap();
            assert_eq!((group.alike, group.is_whole), (members.len(), true));
            for (leg, extent) in group.extent.iter().enumerate() {
                let frequencies = || members.iter().map(|legs| legs[leg]);
                assert_eq!(
                    (Some(extent.low), Some(extent.high)),
                    (frequencies().min(), frequencies().max())
                );
            }
        }
        let few = answer(&plan, search, &question(2));
        let shown = few.groups.len();
        assert_eq!(shown, found.groups.len().min(2));
        assert_eq!(few.ranking.rows, found.ranking.rows[..shown]);
        assert_eq!(few.groups, found.groups[..shown]);
    }
}

/// More pairs than are judged to name the first groups: what is told of these is what judging all of them tells, save that more
/// may be alike.
#[test]
fn the_first_groups_are_those_that_judging_every_pair_names() {
    let plan = sample(&STATIONS, &NEIGHBOURS);
    let span = |low: i64, high: i64| vec![Span::between(Frequency::hz(low), Frequency::hz(high))];
    let search = Search {
        range: SearchRange::CrossBand([
            span(433_000_000, 434_500_000),
            span(145_200_000, 145_600_000),
        ]),
        ..plan.searches[0].clone()
    };
    let all = answer(&plan, &search, &question(candidate_count(&search)));
    let few = answer(&plan, &search, &question(3));
    assert!(few.ranking.judged < all.ranking.judged);
    assert_eq!(few.ranking.rows, all.ranking.rows[..3]);
    for (few, all) in few.groups.iter().zip(&all.groups) {
        assert!(few.alike <= all.alike, "{few:?} {all:?}");
        assert!(!few.is_whole || few == all, "{few:?} {all:?}");
    }
}

#[test]
fn the_best_row_is_the_same_in_every_view() {
    let plan = sample(&STATIONS, &NEIGHBOURS);
    let search = &plan.searches[0];
    let every = |top| Question {
        is_every: true,
        wants_front: true,
        ..question(top)
    };
    let all = answer(&plan, search, &every(candidate_count(search)));
    let few = answer(&plan, search, &every(3));
    assert_eq!(few.ranking.rows, all.ranking.rows[..3]);
    let grouped = answer(&plan, search, &question(1));
    assert_eq!(grouped.ranking.rows[0], all.ranking.rows[0]);
    let plain: BTreeSet<Vec<Frequency>> = rank(&plan, search, candidate_count(search))
        .rows
        .into_iter()
        .map(|row| row.legs)
        .collect();
    let front = all.front.unwrap();
    assert!(front.is_all && front.weighed == plain.len());
    assert!(
        front
            .points
            .iter()
            .all(|point| plain.contains(&point.row.legs))
    );
    assert!(!front.points.is_empty());
}

const BLOCKED: &str = "
search:
  - {name: blocked, station: Relay, cross_band: [433.2250, [145.0500, 145.6500]], step: 25 kHz}
";

/// The fewest neighbours without which a candidate is safe, by trying every set of them.
fn fewest_by_trying(plan: &Plan, search: &Search) -> usize {
    let count = plan.in_use.len();
    let safe_without = |set: u32| {
        let mut plan = plan.clone();
        for (index, entry) in plan.in_use.iter_mut().enumerate() {
            if set & (1 << index) != 0 {
                entry.output = None;
                entry.input = None;
                entry.listener = None;
            }
        }
        rank(&plan, search, 1).rows[0].verdict != Verdict::Conflict
    };
    (0..1u32 << count)
        .filter(|&set| safe_without(set))
        .map(|set| usize::try_from(set.count_ones()).unwrap())
        .min()
        .unwrap()
}

#[test]
fn without_those_who_stand_in_the_way_a_pair_is_safe_and_fewer_do_not_do() {
    let mut plan = sample(&STATIONS[..1], &NEIGHBOURS);
    let text = format!(
        "event: {{name: B}}\nrules: [uk]\nlicence: full\nsites: {{hill: {{at: [54.4150, -0.5320]}}}}\nstations:\n  - {}\n{BLOCKED}",
        STATIONS[0]
    );
    let other = read("b.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|fault| panic!("{fault}"));
    plan.searches = other.searches;
    let search = &plan.searches[0];
    let asked = Question {
        wants_freed: true,
        ..question(3)
    };
    let freed = answer(&plan, search, &asked).freed.unwrap();
    assert!(freed.is_fewest);
    assert_eq!(freed.without, ["Town", "Coast"]);
    assert_eq!(freed.without.len(), fewest_by_trying(&plan, search));
    let without = freed.without.iter().cloned().map(Supposed::Without);
    let then = answer(
        &plan,
        search,
        &Question {
            suppose: without.collect(),
            ..asked
        },
    );
    assert_eq!(then.freed, None);
    let row = then.ranking.rows.iter().find(|row| row.legs == freed.legs);
    assert!(row.is_some_and(|row| row.verdict != Verdict::Conflict));
}

#[test]
fn what_a_change_buys_is_what_the_search_finds_in_a_plan_with_it() {
    let plan = sample(&STATIONS, &NEIGHBOURS);
    let lacking = sample(&STATIONS, &NEIGHBOURS[1..]);
    let weaker = STATIONS[0].replace("mobile}", "mobile, power: low}");
    let weaker = sample(
        &[&weaker, STATIONS[1], STATIONS[2], STATIONS[3]],
        &NEIGHBOURS,
    );
    for (index, search) in plan.searches.iter().enumerate() {
        let changes = [
            Supposed::Without("Town".to_owned()),
            Supposed::Power("low".to_owned()),
        ];
        let question = Question {
            suppose: changes.to_vec(),
            ..question(1)
        };
        let bought = answer(&plan, search, &question).bought;
        assert_eq!(bought.len(), 4);
        for (case, plan) in bought.iter().zip([&plan, &lacking, &weaker]) {
            let search = &plan.searches[index];
            let rows = rank(plan, search, candidate_count(search)).rows;
            let safe = rows.iter().filter(|row| row.conflicts == 0).count();
            let then = &case.then;
            assert_eq!((then.at_least, then.at_most), (safe, safe), "{}", case.what);
            let margin = then.best.as_ref().and_then(|row| row.worst_margin);
            let best = rows.iter().find(|row| row.conflicts == 0);
            assert_eq!(then.best.is_some(), best.is_some());
            let apart = margin.zip(best.and_then(|row| row.worst_margin));
            assert!(apart.is_none_or(|(one, other)| (one - other).as_db().abs() < 6.0));
        }
    }
}

#[test]
fn trials_give_the_same_answer_for_a_seed_and_doubt_what_conflicts() {
    let plan = sample(&STATIONS, &NEIGHBOURS);
    let asked = |seed| Question {
        trials: Some(Trials { count: 200, seed }),
        ..question(3)
    };
    let with = |threads: usize, seed| -> Vec<Answer> {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        let searches = plan.searches.iter();
        pool.unwrap().install(|| {
            searches
                .map(|one| answer(&plan, one, &asked(seed)))
                .collect()
        })
    };
    let once = with(1, 7);
    assert_eq!(once, with(2, 7));
    assert_ne!(once, with(1, 8));
    for share in &once[1].shares {
        assert!(
            share.fraction() < 0.6,
            "what conflicts stays safe in {share:?}"
        );
    }
    assert!(once[0].shares[0].fraction() > once[1].shares[0].fraction());
}
