//! How an assignment came out, in sentences that every page for people has alike.

use super::text::grouped;
use crate::scenario::Aim;
use crate::search::assign::Assignment;

/// A tone in hertz.
pub(super) fn tone_digits(tenths: u32) -> String {
    format!("{}.{}", tenths / 10, tenths % 10)
}

/// What was found.
pub(super) fn headline(assignment: &Assignment) -> String {
    let open = format!(
        "{} with {} to be chosen in {} ways.",
        counted(assignment.channels, "open channel"),
        counted(assignment.frequencies, "frequency"),
        ways(assignment.ways)
    );
    let Some(found) = &assignment.found else {
        return if assignment.contradiction.is_some() {
            format!("{open} There is no plan: what is asked cannot all hold.")
        } else if assignment.is_proved {
            format!("{open} There is no plan in which all that is asked holds.")
        } else {
            format!("{open} No plan was found before the search was stopped.")
        };
    };
    let changes = if found.given.iter().any(|one| !one.last_year.is_empty()) {
        format!(" Against last year: {}.", counted(found.changes, "change"))
    } else {
        String::new()
    };
    let what = if found.given.iter().all(|one| one.conflicts == 0) {
        "The best plan has"
    } else {
        "No plan without a conflict was found; the least bad has"
    };
    format!("{open} {what} {}.{changes}", found.cost)
}

/// Whether that is proved, or what is left.
pub(super) fn proof(assignment: &Assignment) -> String {
    let looked = counted_by(assignment.looked_into, "partial plan");
    let verb = if assignment.looked_into == 1 {
        "was"
    } else {
        "were"
    };
    let aim = match assignment.aim {
        Aim::Quietest => "no other choice is better",
        Aim::FewestChanges => {
            "no other choice that is as free of conflict has fewer changes, or as few and is better"
        }
    };
    match (&assignment.found, &assignment.contradiction) {
        (_, Some(one)) if one.is_smallest => {
            "No fewer of all that is asked contradict each other than these:".to_owned()
        }
        (_, Some(_)) => {
            "Of these none can be left out, though fewer others may contradict each other too:"
                .to_owned()
        }
        (Some(_), None) if assignment.is_proved => {
            format!("It is proved that {aim}; {looked} {verb} looked into.")
        }
        (None, None) if assignment.is_proved => format!("{looked} {verb} looked into."),
        _ => {
            let bound = assignment.no_better_than.as_deref().unwrap_or("anything");
            format!(
                "The search was stopped after {looked}: what is left may be better, but no plan can be better than {bound}."
            )
        }
    }
}

fn counted(count: usize, one: &str) -> String {
    counted_by(count as u64, one)
}

fn counted_by(count: u64, one: &str) -> String {
    let several = one
        .strip_suffix('y')
        .map_or_else(|| format!("{one}s"), |stem| format!("{stem}ies"));
    if count == 1 {
        format!("1 {one}")
    } else {
        format!("{count} {several}")
    }
}

/// A number of ways, rounded where nobody would read its digits.
fn ways(count: u128) -> String {
    let digits = count.to_string();
    match digits.len() {
        ..7 => grouped(count),
        many => {
            let lead: String = digits.chars().take(1).collect();
            format!("about {lead} × 10^{}", many - 1)
        }
    }
}
