//! The worst margins side by side, and how one of them comes about.

use crate::finding::{Finding, Severity};
use crate::report::Found;

use super::super::draw::{Anchor, Drawing, Scale, Shape, fitted};
use super::spectrum::mark_of;
use super::{TYPE, WIDTH};

/// So many findings are shown.
const SHOWN: usize = 14;

const ROW: f64 = 36.0;
/// Height of a step of a build-up.
const STEP: f64 = 26.0;
const LEFT: f64 = 300.0;
const RIGHT: f64 = 60.0;

/// The margins of the worst findings; none where nothing has one.
pub(in crate::render) fn margins(findings: &[Found]) -> Option<Drawing> {
    let shown: Vec<(usize, &Finding, f64)> = findings
        .iter()
        .enumerate()
        .filter(|(_, one)| one.finding.severity > Severity::Note)
        .filter_map(|(index, one)| Some((index, &one.finding, one.finding.margin?.as_db())))
        .take(SHOWN)
        .collect();
    if shown.is_empty() {
        return None;
    }
    let least = shown
        .iter()
        .map(|(.., margin)| *margin)
        .fold(-6.0, f64::min);
    let most = shown.iter().map(|(.., margin)| *margin).fold(6.0, f64::max);
    let across = Scale::new([least, most], [LEFT + 10.0, WIDTH - RIGHT]);
    let zero = across.at(0.0);
    let bottom = 24.0 + shown.len() as f64 * ROW;
    let mut shapes = axis(across, bottom);
    for (row, (index, finding, margin)) in shown.iter().enumerate() {
        let y = 24.0 + row as f64 * ROW;
        let middle = y + ROW / 2.0 - 2.0;
        let victim = finding
            .victim
            .as_ref()
            .map_or("", |victim| victim.station.as_str());
        let x = across.within(*margin);
        let mut drawn = vec![
            Shape::boxed([0.0, y - 1.0], [WIDTH, ROW - 2.0]).class("row"),
            Shape::mark(mark_of(finding.severity), [10.0, middle], 12.0),
            Shape::text(
                24.0,
                middle - 1.5,
                &fitted(finding.check, TYPE, LEFT - 34.0),
            ),
            Shape::text(24.0, middle + 13.0, &fitted(victim, 11.5, LEFT - 34.0)).class("small"),
            Shape::boxed(
                [x.min(zero), middle - 6.0],
                [(x - zero).abs().max(1.5), 12.0],
            )
            .class(if *margin < 0.0 {
                "bar-hurts"
            } else {
                "bar-hand"
            }),
        ];
        if let Some(spread) = finding.spread {
            let ends =
                [margin - spread.as_db(), margin + spread.as_db()].map(|one| across.within(one));
            let [from, to] = ends;
            drawn.push(Shape::line([from, middle], [to, middle]).class("whisker"));
            drawn.extend(
                ends.map(|x| Shape::line([x, middle - 4.0], [x, middle + 4.0]).class("whisker")),
            );
        }
        drawn.push(
            Shape::text(
                WIDTH - 2.0,
                middle + 4.5,
                &finding
                    .margin
                    .map_or_else(String::new, |one| one.to_string()),
            )
            .anchored(Anchor::End)
            .class("small"),
        );
        shapes.push(
            Shape::group(drawn)
                .tip(&finding.says)
                .leads_to(&format!("#finding-{}", index + 1)),
        );
    }
    let mut drawing = Drawing::new(
        "margins",
        "The worst margins".to_owned(),
        format!(
            "The {} worst findings with a margin, worst first, each as a bar from zero; to the left of zero it hurts. The thin \
             line shows how far the figure is usually off. Each leads to its finding.",
            shown.len()
        ),
        WIDTH,
        bottom + 22.0,
    );
    drawing.shapes = shapes;
    Some(drawing)
}

/// The values across, and the side that hurts.
fn axis(across: Scale, bottom: f64) -> Vec<Shape> {
    let zero = across.at(0.0);
    let mut shapes = vec![
        Shape::boxed([LEFT, 20.0], [zero - LEFT, bottom - 20.0]).class("hurts"),
        Shape::text(zero - 6.0, 13.0, "hurts")
            .anchored(Anchor::End)
            .class("small strong"),
        Shape::text(zero + 6.0, 13.0, "in hand").class("small strong"),
    ];
    for tick in across.ticks(5.0) {
        let x = across.at(tick);
        shapes.push(Shape::line([x, 20.0], [x, bottom]).class("grid"));
        let text = format!("{tick:.0} dB").replace('-', "−");
        shapes.push(
            Shape::text(x, bottom + 15.0, &text)
                .anchored(Anchor::Middle)
                .class("small"),
        );
    }
    shapes.push(Shape::line([zero, 20.0], [zero, bottom]).class("zero"));
    shapes
}

/// How a level comes about, step by step, against what would hurt; none where a finding has no build-up.
pub(in crate::render) fn budget(finding: &Finding, number: usize) -> Option<Drawing> {
    let (level, threshold) = (finding.level?, finding.threshold?);
    let (first, rest) = finding.budget.split_first()?;
    let mut sum = first.change.as_db();
    let mut rows: Vec<(&str, f64, f64, String)> = vec![(
        &first.what,
        sum,
        sum,
        first.change.to_string().replace(" dB", " dBm"),
    )];
    for step in rest {
        let before = sum;
        sum += step.change.as_db();
        rows.push((&step.what, before, sum, step.change.to_string()));
    }
    let hurts = threshold.as_dbm();
    let ends = rows
        .iter()
        .flat_map(|(_, from, to, _)| [*from, *to])
        .chain([hurts]);
    let (least, most) = ends.fold((f64::MAX, f64::MIN), |(least, most), one| {
        (least.min(one), most.max(one))
    });
    let across = Scale::new(
        [least - 4.0, most + 4.0],
        [LEFT + 10.0, WIDTH - RIGHT - 10.0],
    );
    let bottom = 22.0 + (rows.len() + 1) as f64 * STEP;
    let limit = across.at(hurts);
    let mut shapes = vec![
        Shape::boxed([limit, 18.0], [WIDTH - RIGHT - limit, bottom - 18.0]).class("hurts"),
        Shape::line([limit, 18.0], [limit, bottom]).class("zero"),
        Shape::text(limit, 12.0, &format!("{threshold} would hurt"))
            .anchored(if limit > 560.0 {
                Anchor::End
            } else {
                Anchor::Middle
            })
            .class("small strong"),
    ];
    for (row, (what, from, to, change)) in rows.iter().enumerate() {
        let middle = 22.0 + row as f64 * STEP + STEP / 2.0;
        let (a, b) = (across.at(*from), across.at(*to));
        let class = if to > from { "bar-gain" } else { "bar-loss" };
        shapes.push(Shape::text(0.0, middle + 4.0, &fitted(what, TYPE, LEFT - 8.0)).tip(what));
        if row == 0 {
            shapes.push(Shape::line([a, middle - 9.0], [a, middle + 9.0]).class("level"));
        } else {
            shapes.push(
                Shape::boxed([a.min(b), middle - 6.0], [(a - b).abs().max(1.5), 12.0]).class(class),
            );
        }
        shapes.push(Shape::line([b, middle + 6.0], [b, middle + STEP - 6.0]).class("join"));
        shapes.push(
            Shape::text(WIDTH, middle + 4.0, change)
                .anchored(Anchor::End)
                .class("small"),
        );
    }
    let middle = bottom - STEP / 2.0;
    let x = across.at(level.as_dbm());
    shapes.push(Shape::text(0.0, middle + 4.0, "arrives").class("strong"));
    shapes.push(Shape::line([x, middle - 9.0], [x, middle + 9.0]).class("level"));
    shapes.push(
        Shape::text(WIDTH, middle + 4.0, &level.to_string())
            .anchored(Anchor::End)
            .class("small strong"),
    );
    let mut drawing = Drawing::new(
        &format!("budget-{number}"),
        format!("How finding {number} comes about"),
        format!("{level} arrives, {threshold} would hurt. The steps are in the table beside."),
        WIDTH,
        bottom + 4.0,
    );
    drawing.shapes = shapes;
    Some(drawing)
}
