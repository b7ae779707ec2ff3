//! What `rank` tells beside its rows, in sentences that the formats for people share.

use crate::assess::Verdict;
use crate::quantity::Decibels;
use crate::search::{Answer, Bought, Freed, Front, Group, Point, Ranking, Row, Share, Strangers};

use super::text::{counted, grouped, listed};
use super::{extent_text, legs_text, stretch_text};

/// That a search did not end by itself, and how much of it was looked at; nothing where it did.
pub(super) fn unfinished(answer: &Answer) -> Option<String> {
    let ranking = &answer.ranking;
    if !ranking.is_finished {
        let share = ranking.looked_at as f64 / ranking.considered.max(1) as f64;
        return Some(format!(
            "Not finished: the search was stopped. {} of {} ({:.0} %) had each of their legs judged, {} {} judged whole; \
             what is shown is the best of these, and better ones may be left.",
            grouped(ranking.looked_at),
            counted(ranking.considered, "candidate"),
            (share * 100.0).floor(),
            grouped(ranking.judged),
            if ranking.judged == 1 { "was" } else { "were" }
        ));
    }
    (!answer.is_whole).then(|| {
        "Not finished: the order stands, but the search was stopped before all that was asked beside it was worked out."
            .to_owned()
    })
}

/// How many candidates there are and what became of them, in a sentence.
pub(super) fn counts(ranking: &Ranking) -> String {
    let considered = counted(ranking.considered, "candidate");
    let refused = grouped(ranking.refused_by_a_leg);
    let is_single = ranking.rows.iter().any(|row| row.legs.len() == 1);
    if is_single && ranking.is_finished {
        format!("{considered} considered, {refused} of them in conflict.")
    } else if is_single {
        format!("{considered} considered, {refused} of those looked at in conflict.")
    } else if ranking.judged == ranking.considered {
        format!(
            "{considered} considered, all of them judged whole: {refused} known to have a leg that conflicts by itself."
        )
    } else if ranking.is_finished {
        let is_safe = |row: &Row| row.verdict != Verdict::Conflict;
        let others = if ranking.rows.first().is_some_and(is_safe) {
            "of the others, best first"
        } else {
            "best first"
        };
        format!(
            "{considered} considered: {refused} known to have a leg that conflicts by itself; {others}, {} judged whole \
             until the order stood.",
            grouped(ranking.judged)
        )
    } else {
        format!("{considered} considered, {refused} known to have a leg that conflicts by itself.")
    }
}

/// What the plan as a whole has against every row, wherever it lies; nothing where it has nothing.
pub(super) fn everywhere(ranking: &Ranking) -> Option<String> {
    let checks = ranking.everywhere();
    (!checks.is_empty()).then(|| {
        let checks: Vec<String> = checks.into_iter().map(str::to_owned).collect();
        format!(
            "Each of these also has {}: that is of the plan as a whole, and `check` says more.",
            listed(&checks)
        )
    })
}

/// What the plan as a whole has against a row besides; nothing where it has nothing.
pub(super) fn besides(ranking: &Ranking, row: &Row) -> Option<String> {
    let everywhere = ranking.everywhere();
    let other = row
        .of_the_plan
        .iter()
        .filter(|check| !everywhere.contains(check));
    let other: Vec<String> = other.map(|&check| check.to_owned()).collect();
    (!other.is_empty()).then(|| format!("also {}", listed(&other)))
}

/// What a row stands for; nothing where it stands for itself.
pub(super) fn group(group: &Group) -> Option<String> {
    let least = if group.is_whole { "" } else { "at least " };
    (group.alike > 1 || !group.is_whole).then(|| {
        format!(
            "{least}{} alike, {}",
            grouped(group.alike),
            extent_text(&group.extent)
        )
    })
}

/// A share with its sampling error, in per cent: `97 % (95–98)`.
pub(super) fn share(share: Share) -> String {
    let (from, to) = share.interval();
    // Rounded outwards, so that neither end claims more than was found.
    format!(
        "{:.0} % ({:.0}–{:.0})",
        share.fraction() * 100.0,
        (from * 100.0).floor(),
        (to * 100.0).ceil()
    )
}

/// What the trials are.
pub(super) fn trials(share: Share) -> String {
    format!(
        "Stays safe: share of {} trials without a conflict, every level off by its own spread and unknown IFs drawn; in \
         brackets where the true share lies, nineteen times in twenty.",
        grouped(usize::try_from(share.trials).unwrap_or(usize::MAX))
    )
}

/// Without whom something would be safe.
pub(super) fn freed(freed: &Freed) -> String {
    let proof = if freed.is_fewest {
        "fewer do not free any pair".to_owned()
    } else {
        format!(
            "found among the {} least bad candidates; fewer may do for another",
            grouped(freed.looked_at)
        )
    };
    format!(
        "Nothing is safe; without {}, {} would be ({proof}).",
        listed(&freed.without),
        legs_text(&freed.legs)
    )
}

/// What a change leaves safe.
pub(super) fn bought(bought: &Bought) -> String {
    let then = &bought.then;
    let count = if then.at_least == then.at_most {
        grouped(then.at_least)
    } else {
        format!("{} to {}", grouped(then.at_least), grouped(then.at_most))
    };
    match &then.best {
        None => "nothing safe".to_owned(),
        Some(best) => format!(
            "{count} safe; best {}, {}",
            legs_text(&best.legs),
            margin(best.worst_margin)
        ),
    }
}

fn margin(margin: Option<Decibels>) -> String {
    margin.map_or_else(
        || "nothing near".to_owned(),
        |margin| format!("{margin} in hand"),
    )
}

/// What was weighed.
pub(super) fn front(front: &Front) -> String {
    let among = if front.is_all {
        format!("all {} safe candidates", grouped(front.weighed))
    } else {
        format!("the first {} safe candidates", grouped(front.weighed))
    };
    format!(
        "Beaten by none of {among} in least margin, band plan, chance of trouble and balance of ways in and out at once:"
    )
}

/// A candidate and what it weighs.
pub(super) fn point(point: &Point) -> String {
    let balance = point
        .balance
        .map(|balance| format!(", in and out {balance} apart"))
        .unwrap_or_default();
    let alike = if point.alike > 1 {
        format!("; {} weigh the same", grouped(point.alike))
    } else {
        String::new()
    };
    format!(
        "{}: {}, preference {}, {} likely to hurt{balance}{alike}",
        legs_text(&point.row.legs),
        margin(point.row.worst_margin),
        point.row.preference,
        point.chance
    )
}

/// Where nobody else may be.
pub(super) fn strangers(strangers: &Strangers) -> String {
    let head = format!(
        "One more neighbour with 25 W ERP, {} from every site, would conflict with {} on",
        strangers.distance,
        legs_text(&strangers.legs)
    );
    if strangers.spoilt.is_empty() {
        return format!("{head} none of {}.", counted(strangers.tried, "channel"));
    }
    let runs: Vec<String> = strangers
        .spoilt
        .iter()
        .map(|run| stretch_text(*run))
        .collect();
    format!(
        "{head} {} of {}: nobody else may use {} MHz.",
        grouped(strangers.channels),
        counted(strangers.tried, "channel"),
        runs.join(", ")
    )
}
