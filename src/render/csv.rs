//! Comma-separated values for spreadsheets: one finding, one row of a ranking or one landing a line.

use ::csv::Writer;

use crate::finding::Finding;
use crate::net::Tone;
use crate::overview::Overview;
use crate::quantity::{Bandwidth, Decibels, Frequency, Level, Offset};
use crate::report::Report;

use super::assign::tone_digits;
use super::{
    AssignReport, CheckReport, Format, Listing, Look, ProductsReport, RankReport, compare,
    matter_word, review::parts, severity_word, text::clean,
};

pub(super) const FORMAT: Format = Format {
    name: "csv",
    title: "for spreadsheets: one finding or row a line",
    check,
    compare: |comparison, look: &Look| list(&compare::table(comparison), look),
    rank,
    assign,
    review,
    products,
    list,
};

/// A head and its records as text.
fn table<Record: IntoIterator<Item = String>>(
    head: impl IntoIterator<Item = impl AsRef<[u8]>>,
    records: impl Iterator<Item = Record>,
) -> String {
    let mut writer = Writer::from_writer(Vec::new());
    let mut is_whole = writer.write_record(head).is_ok();
    for record in records {
        let cells = record.into_iter().map(|cell| clean(&cell));
        is_whole &= writer.write_record(cells.map(String::into_bytes)).is_ok();
    }
    // Writing to memory does not fail; if it ever did, half a table would be worse than none.
    match writer.into_inner() {
        Ok(bytes) if is_whole => String::from_utf8(bytes).unwrap_or_default(),
        _ => String::new(),
    }
}

/// A number with one decimal and an ASCII minus; nothing where there is none.
fn decimal(value: Option<f64>) -> String {
    value.map_or_else(String::new, |value| {
        let rounded = (value * 10.0).round() / 10.0;
        // Adding zero takes the sign off a rounded zero.
        format!("{:.1}", rounded + 0.0)
    })
}

fn dbm(level: Option<Level>) -> String {
    decimal(level.map(Level::as_dbm))
}

fn db(ratio: Option<Decibels>) -> String {
    decimal(ratio.map(Decibels::as_db))
}

fn hertz(value: Option<i64>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}

/// The channel plan: one channel of one kind of user a line.
pub(super) fn channels(report: &Report) -> String {
    let head = [
        "channel",
        "function",
        "name",
        "assignment",
        "receive_hz",
        "receive_width",
        "receive_tone_hz",
        "transmit_hz",
        "transmit_width",
        "transmit_tone_hz",
        "mode",
        "remarks",
    ];
    let tone = |tone: Option<Tone>| decimal(tone.map(|tone| f64::from(tone.as_tenths()) / 10.0));
    let width = |width: Option<char>| width.map(String::from).unwrap_or_default();
    table(
        head,
        report.form.rows.iter().map(|row| {
            [
                row.number.to_string(),
                row.function.clone(),
                row.name.clone(),
                row.assignment.clone(),
                hertz(row.receives.map(Frequency::as_hz)),
                width(row.receive_width),
                tone(row.receive_tone),
                hertz(row.sends.map(Frequency::as_hz)),
                width(row.send_width),
                tone(row.send_tone),
                row.mode.to_string(),
                row.remarks.clone(),
            ]
        }),
    )
}

fn check(report: &CheckReport<'_>, _: &Look) -> String {
    let head = [
        "subject",
        "check",
        "severity",
        "matter",
        "says",
        "victim_station",
        "victim_receiver",
        "victim_hz",
        "product_hz",
        "offset_hz",
        "width_hz",
        "level_dbm",
        "threshold_dbm",
        "margin_db",
        "arithmetic",
        "sources",
        "why",
        "remedies",
        "citation",
        "assumed",
        "when",
        "spread_db",
        "chance",
        "spared",
    ];
    let assessment = report.assessment;
    let records = std::iter::once(&assessment.plan)
        .chain(&assessment.proposals)
        .flat_map(|judged| {
            let subject = judged.proposal.as_deref().unwrap_or_default();
            judged
                .findings
                .iter()
                .map(move |finding| record(subject, finding))
        });
    table(head, records)
}

fn record(subject: &str, finding: &Finding) -> [String; 24] {
    let victim = finding.victim.as_ref();
    let sources: Vec<String> = finding
        .sources
        .iter()
        .map(|term| format!("{} x {} ({})", term.coefficient, term.name, term.frequency))
        .collect();
    let remedies: Vec<&str> = finding
        .remedies
        .iter()
        .map(|remedy| remedy.text.as_str())
        .collect();
    [
        subject.to_owned(),
        finding.check.to_owned(),
        severity_word(finding.severity).to_owned(),
        matter_word(finding.matter).to_owned(),
        finding.says.clone(),
        victim.map_or_else(String::new, |victim| victim.station.clone()),
        victim.map_or_else(String::new, |victim| victim.receiver.clone()),
        hertz(victim.map(|victim| victim.frequency.as_hz())),
        hertz(finding.product.map(Frequency::as_hz)),
        hertz(finding.offset.map(Offset::as_hz)),
        hertz(finding.width.map(Bandwidth::as_hz)),
        dbm(finding.level),
        dbm(finding.threshold),
        db(finding.margin),
        finding.arithmetic.clone(),
        sources.join("; "),
        finding.why.clone(),
        remedies.join("; "),
        finding.citation.clone(),
        finding.assumed.join("; "),
        finding.when.clone().unwrap_or_default(),
        db(finding.spread),
        finding
            .chance
            .map_or_else(String::new, |chance| format!("{:.3}", chance.as_fraction())),
        finding.spared.clone().unwrap_or_default(),
    ]
}

/// A cell a line, since the parts have columns of their own.
fn review(overview: &Overview, _: &Look) -> String {
    let parts = parts(overview);
    let records = parts.iter().flat_map(|part| {
        part.rows.iter().flat_map(move |row| {
            let name = row.first().cloned().unwrap_or_default();
            let cells = part.columns.iter().zip(row).skip(1);
            cells.map(move |(key, text)| {
                [
                    part.id.to_owned(),
                    name.clone(),
                    (*key).to_owned(),
                    text.trim_matches('–').to_owned(),
                ]
            })
        })
    });
    table(["part", "row", "key", "value"], records)
}

fn rank(report: &RankReport<'_>, _: &Look) -> String {
    let head = [
        "search",
        "station",
        "place",
        "first_hz",
        "second_hz",
        "verdict",
        "worst_margin_db",
        "conflicts",
        "cautions",
        "preference",
        "limited_by",
        "alike",
        "first_from_hz",
        "first_to_hz",
        "second_from_hz",
        "second_to_hz",
        "stays_safe",
        "stays_safe_from",
        "stays_safe_to",
        "of_the_plan",
        "is_finished",
    ];
    let records = report.answers.iter().flat_map(|answer| {
        let ranking = &answer.ranking;
        ranking.rows.iter().enumerate().map(move |(index, row)| {
            let leg = |leg: usize| hertz(row.legs.get(leg).map(|leg| leg.as_hz()));
            let group = answer.groups.get(index);
            let span = |leg: usize| group.and_then(|group| group.extent.get(leg));
            let low = |leg| hertz(span(leg).map(|span| span.low.as_hz()));
            let high = |leg| hertz(span(leg).map(|span| span.high.as_hz()));
            let share = answer.shares.get(index);
            let part =
                |part: Option<f64>| part.map_or_else(String::new, |part| format!("{part:.3}"));
            let interval = share.map(|share| share.interval());
            [
                ranking.search.clone(),
                ranking.station.clone(),
                (index + 1).to_string(),
                leg(0),
                leg(1),
                row.verdict.to_string(),
                db(row.worst_margin),
                row.conflicts.to_string(),
                row.cautions.to_string(),
                row.preference.to_string(),
                row.limited_by.clone(),
                group.map_or_else(String::new, |group| group.alike.to_string()),
                low(0),
                high(0),
                low(1),
                high(1),
                part(share.map(|share| share.fraction())),
                part(interval.map(|(from, _)| from)),
                part(interval.map(|(_, to)| to)),
                row.of_the_plan.join(" "),
                ranking.is_finished.to_string(),
            ]
        })
    });
    table(head, records)
}

fn assign(report: &AssignReport<'_>, _: &Look) -> String {
    let head = [
        "channel",
        "what",
        "stations",
        "first_hz",
        "second_hz",
        "tone_hz",
        "last_year_first_hz",
        "last_year_second_hz",
        "verdict",
        "worst_margin_db",
        "conflicts",
        "cautions",
        "preference",
        "limited_by",
        "is_proved",
    ];
    let given = report.assignment.found.iter().flat_map(|one| &one.given);
    let records = given.map(|one| {
        let at = |of: &[Frequency], leg: usize| hertz(of.get(leg).map(|leg| leg.as_hz()));
        [
            one.name.clone(),
            one.what.to_owned(),
            one.stations.join("; "),
            at(&one.legs, 0),
            at(&one.legs, 1),
            one.tone.map_or_else(String::new, tone_digits),
            at(&one.last_year, 0),
            at(&one.last_year, 1),
            one.verdict.to_string(),
            db(one.worst_margin),
            one.conflicts.to_string(),
            one.cautions.to_string(),
            one.preference.to_string(),
            one.limited_by.clone(),
            report.assignment.is_proved.to_string(),
        ]
    });
    table(head, records)
}

fn products(report: &ProductsReport<'_>, _: &Look) -> String {
    let head = [
        "order",
        "coefficients",
        "product_hz",
        "target_hz",
        "offset_hz",
    ];
    let records = report.landings.iter().map(|landing| {
        let coefficients: Vec<String> = landing
            .coefficients
            .iter()
            .map(ToString::to_string)
            .collect();
        [
            landing.order.to_string(),
            coefficients.join(" "),
            landing.product.as_hz().to_string(),
            landing.target.as_hz().to_string(),
            landing.offset.as_hz().to_string(),
        ]
    });
    table(head, records)
}

fn list(listing: &Listing, _: &Look) -> String {
    table(
        listing.columns.iter().map(|key| key.replace(' ', "_")),
        listing.rows.iter().cloned(),
    )
}
