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
