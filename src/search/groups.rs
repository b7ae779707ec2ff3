//! Rows that are alike, told as one: the best ten are not ten neighbours of one channel.
//!
//! Two rows are neighbours when one leg is the same and the other a step away. A group is all that can be reached from
//! neighbour to neighbour through rows with the same verdict, the same step of the margin, the same limit and the same
//! liking of the band plan.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::promise::rung;
use super::rank::{Ranking, Row, Sweep};
use crate::assess::Verdict;
use crate::quantity::{Frequency, Offset, Span};
use crate::scenario::{Plan, Search};

/// So many rows are asked for at most, where the rows to be shown are fewer.
const MOST_ROWS: usize = 1_024;

/// So many are asked for at first, and so many times more when they do not do.
const FIRST_ROWS: usize = 256;
const GROWTH: usize = 2;

/// Further from anybody's frequency than this it no longer matters how far.
const FAR: Offset = Offset::hz(1_000_000);

/// Frequencies that divide by this are easy to set, to say and to remember.
const ROUND: i64 = 25_000;

/// How far the rows reach that one row stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Group {
    /// How many rows are alike, the one that is shown included.
    pub alike: usize,
    /// The stretch of each leg that all of them lie in; not every pair inside it need be one of them.
    pub extent: Vec<Span>,
    /// Whether no more belong to it; otherwise the rows that were asked for ended before.
    pub is_whole: bool,
}

/// What puts one row before another, before anything is said of how easy it is to live with.
type Standing = (bool, bool, Reverse<Option<i64>>, bool, Reverse<i32>);

/// Rows in different standings are never alike, and all rows of a standing follow each other in the order.
fn standing(row: &Row, plan: &Plan) -> Standing {
    let margin = row
        .worst_margin
        .map(|margin| rung(margin, plan.settings.reserve.value));
    (
        row.verdict == Verdict::Conflict,
        margin.is_some(),
        Reverse(margin),
        cautions(row) > 0,
        Reverse(row.preference),
    )
}

/// How many cautions count: of what conflicts not everything is counted, and what is decides nothing.
fn cautions(row: &Row) -> usize {
    if row.verdict == Verdict::Conflict {
        0
    } else {
        row.cautions
    }
}

/// How easy candidates that are equal otherwise are to live with: legs on round frequencies first, then far from
/// anybody's frequency, then lower.
fn ease(row: &Row, taken: &[Frequency]) -> impl Ord + use<> {
    let round = row.legs.iter().filter(|leg| leg.as_hz() % ROUND == 0);
    let away = row
        .legs
        .iter()
        .flat_map(|&leg| taken.iter().map(move |&other| (other - leg).abs()))
        .min();
    (
        Reverse(round.count()),
        Reverse(away.unwrap_or(FAR).min(FAR)),
        row.legs.clone(),
    )
}

/// Every frequency of the plan and of its neighbours.
fn taken(plan: &Plan, search: &Search) -> Vec<Frequency> {
    let stations = plan.stations.iter().enumerate();
    let ours = stations
        .filter(|&(index, _)| index != search.station)
        .flat_map(|(_, station)| &station.uses)
        .flat_map(|one| one.what.frequencies());
    let theirs = plan
        .in_use
        .iter()
        .flat_map(|entry| entry.output.into_iter().chain(entry.input));
    ours.chain(theirs).collect()
}

/// A search with its ties broken and each of its first `top` rows standing for all that are alike.
pub(super) fn grouped(
    plan: &Plan,
    search: &Search,
    sweep: &mut Sweep<'_>,
    top: usize,
) -> (Ranking, Vec<Group>) {
    // Rows that were not asked for belong behind the last; of those before it the best of each group is there.
    let place = |row: &Row| (standing(row, plan), cautions(row));
    let (mut ranking, is_cut) = gather(sweep, top, |rows| {
        let last = rows.last().map(place);
        let before = rows.iter().take_while(|row| Some(place(row)) != last);
        groups(plan, search, before.cloned().collect(), None).len() >= top
    });
    let rows = std::mem::take(&mut ranking.rows);
    let cut = is_cut
        .then(|| rows.last().map(|row| standing(row, plan)))
        .flatten();
    let mut found = groups(plan, search, rows, cut);
    found.truncate(top);
    let (rows, mut groups): (_, Vec<Group>) = found.into_iter().unzip();
    ranking.rows = rows;
    sweep.ask_all(&mut ranking.rows);
    for group in &mut groups {
        group.is_whole &= ranking.is_finished;
    }
    (ranking, groups)
}

/// A search with its ties broken, every row by itself.
pub(super) fn single(plan: &Plan, search: &Search, sweep: &mut Sweep<'_>, top: usize) -> Ranking {
    let tie = |row: &Row| (standing(row, plan), cautions(row));
    let (mut ranking, _) = gather(sweep, top, |rows| {
        let last = top.checked_sub(1).and_then(|last| rows.get(last)).map(tie);
        last.is_some() && rows.last().map(tie) != last
    });
    settle_ties(plan, search, &mut ranking.rows);
    ranking.rows.truncate(top);
    sweep.ask_all(&mut ranking.rows);
    ranking
}

/// Puts rows that are equal otherwise in the order of how easy they are to live with.
pub(super) fn settle_ties(plan: &Plan, search: &Search, rows: &mut [Row]) {
    let taken = taken(plan, search);
    rows.sort_by_cached_key(|row| (standing(row, plan), cautions(row), ease(row, &taken)));
}

/// Asks for more and more rows until enough is known, there are no more, or they are too many; and whether there may be
/// more than were asked for.
fn gather(
    sweep: &mut Sweep<'_>,
    top: usize,
    is_enough: impl Fn(&[Row]) -> bool,
) -> (Ranking, bool) {
    let most = MOST_ROWS.max(top);
    let mut keep = top.saturating_mul(GROWTH).clamp(FIRST_ROWS.min(most), most);
    loop {
        let ranking = sweep.best(keep);
        let is_cut = ranking.rows.len() >= keep;
        if !is_cut || keep >= most || is_enough(&ranking.rows) {
            return (ranking, is_cut);
        }
        keep = keep.saturating_mul(GROWTH).min(most);
    }
}

/// Rows in groups, the best row of each first; more may be missing of those in the standing `cut`.
fn groups(
    plan: &Plan,
    search: &Search,
    rows: Vec<Row>,
    cut: Option<Standing>,
) -> Vec<(Row, Group)> {
    let taken = taken(plan, search);
    let mut classes: BTreeMap<(Standing, String), BTreeMap<Vec<Frequency>, Row>> = BTreeMap::new();
    for row in rows {
        let class = classes
            .entry((standing(&row, plan), row.limit.clone()))
            .or_default();
        class.insert(row.legs.clone(), row);
    }
    let mut found = Vec::new();
    for ((standing, _), mut class) in classes {
        while let Some((_, first)) = class.pop_first() {
            let mut members = vec![first];
            let mut next = 0;
            while let Some(row) = members.get(next) {
                let near = neighbours(&row.legs, search.step.value);
                let found: Vec<Row> = near.filter_map(|legs| class.remove(&legs)).collect();
                members.extend(found);
                next += 1;
            }
            let group = Group {
                alike: members.len(),
                extent: extent(&members),
                is_whole: cut != Some(standing),
            };
            let best = members
                .into_iter()
                .min_by_key(|row| (cautions(row), ease(row, &taken)));
            found.extend(best.map(|row| (standing, row, group)));
        }
    }
    found.sort_by_cached_key(|(standing, row, _)| (*standing, cautions(row), ease(row, &taken)));
    found
        .into_iter()
        .map(|(_, row, group)| (row, group))
        .collect()
}

/// The legs of the neighbours of a pair.
fn neighbours(legs: &[Frequency], step: Offset) -> impl Iterator<Item = Vec<Frequency>> {
    (0..legs.len()).flat_map(move |moved| {
        [step, -step].map(|by| {
            let legs = legs.iter().enumerate();
            legs.map(|(index, &leg)| if index == moved { leg + by } else { leg })
                .collect()
        })
    })
}

/// The stretch of each leg that all rows lie in.
fn extent(rows: &[Row]) -> Vec<Span> {
    let legs = rows.first().map_or(0, |row| row.legs.len());
    (0..legs)
        .filter_map(|leg| {
            let all = || rows.iter().filter_map(|row| row.legs.get(leg).copied());
            Some(Span::between(all().min()?, all().max()?))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Decibels;
    use crate::scene::sample::plan;

    fn row(verdict: Verdict, cautions: usize, worst: Option<f64>) -> Row {
        Row {
            legs: vec![Frequency::hz(433_500_000), Frequency::hz(145_300_000)],
            verdict,
            conflicts: 0,
            cautions,
            worst_margin: worst.map(Decibels::db),
            preference: 1,
            limited_by: String::new(),
            limit: String::new(),
            of_the_plan: Vec::new(),
        }
    }

    const PLAN: &str = "
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile, watch: 145.5000}
  - {name: Packet, site: hill, radio: mobile-2m, talk: 144.8000}
in_use:
  - {name: Town, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43]}
  - {name: Gateway, frequency: 144.9500, erp: 5 W, at: [54.33, -0.43]}
search:
  - {name: one, station: Relay, watch: 145.3000-145.4000, step: 12.5 kHz}
";

    /// The plan has a reserve of 6 dB.
    #[test]
    fn rows_stand_alike_by_verdict_step_of_the_margin_whether_a_caution_counts_and_liking() {
        let plan = plan(PLAN);
        let standing = |one: &Row| standing(one, &plan);
        let safe = row(Verdict::Caution, 1, Some(7.0));
        assert_eq!(cautions(&safe), 1);
        assert_eq!(cautions(&row(Verdict::Caution, 5, None)), 5);
        assert_eq!(cautions(&row(Verdict::Clear, 0, None)), 0);
        assert_eq!(cautions(&row(Verdict::Conflict, 5, None)), 0);
        // How many cautions there are and where in its step the margin lies decides later.
        assert!(standing(&safe) == standing(&row(Verdict::Caution, 4, Some(11.0))));
        let in_order = [
            row(Verdict::Clear, 0, None),
            row(Verdict::Clear, 0, Some(12.0)),
            row(Verdict::Clear, 0, Some(7.0)),
            safe,
            Row {
                preference: 0,
                ..row(Verdict::Caution, 1, Some(7.0))
            },
            row(Verdict::Caution, 1, Some(5.0)),
            row(Verdict::Conflict, 3, Some(5.0)),
            row(Verdict::Conflict, 0, Some(-1.0)),
        ];
        assert!(in_order.is_sorted_by(|one, other| standing(one) < standing(other)));
        let refused = [0, 3].map(|cautions| row(Verdict::Conflict, cautions, Some(-1.0)));
        assert!(standing(&refused[0]) == standing(&refused[1]));
    }

    #[test]
    fn the_frequencies_that_are_taken_are_those_of_all_but_the_station_itself() {
        let plan = plan(PLAN);
        let mut found = taken(&plan, &plan.searches[0]);
        found.sort_unstable();
        let others = [144_800_000, 144_950_000, 145_050_000, 145_650_000];
        found.dedup();
        assert_eq!(found, others.map(Frequency::hz));
    }

    #[test]
    fn the_neighbours_of_a_pair_have_one_leg_a_step_up_or_down() {
        let [first, second] = [433_500_000, 145_300_000];
        let legs = [first, second].map(Frequency::hz);
        let mut found: Vec<Vec<Frequency>> = neighbours(&legs, Offset::hz(12_500)).collect();
        found.sort();
        let expected = [
            [first - 12_500, second],
            [first, second - 12_500],
            [first, second + 12_500],
            [first + 12_500, second],
        ];
        assert_eq!(found, expected.map(|legs| legs.map(Frequency::hz).to_vec()));
    }

    /// Nine channels are fewer than are asked for at first.
    #[test]
    fn where_there_are_no_more_rows_nobody_is_asked_whether_they_are_enough() {
        let plan = plan(PLAN);
        let watch = crate::search::Watch::default();
        let mut sweep = Sweep::of(&plan, &plan.searches[0], &watch);
        let enough = |_: &[Row]| -> bool { panic!("there are no more") };
        let (ranking, is_cut) = gather(&mut sweep, 3, enough);
        assert_eq!((ranking.considered, is_cut), (9, false));
    }
}
