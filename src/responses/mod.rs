//! Every place where a receiver hears: how it comes about, told once.
//!
//! A kind of response knows nothing of how a line arises. To add one: its file, its chapter and its lines here.

use crate::budget::Ledger;
use crate::physics::spread;
use crate::physics::superhet::Superhet;
use crate::provenance::Sourced;
use crate::quantity::{Bandwidth, Decibels, Frequency, Level, Offset};
use crate::scene::Receiver;
use crate::topic::Topic;

mod adjacent_channel;
mod alternate_channel;
mod arithmetic;
mod blocking;
mod channel;
mod half_if;
mod if_breakthrough;
mod image;
mod mixer_spur;
mod reciprocal_mixing;
mod second_image;
mod second_mixer_spur;

pub use arithmetic::Arithmetic;

/// Every kind of response.
pub const ALL: &[Kind] = &[
    channel::KIND,
    adjacent_channel::KIND,
    alternate_channel::KIND,
    image::KIND,
    half_if::KIND,
    second_image::KIND,
    if_breakthrough::KIND,
    mixer_spur::KIND,
    second_mixer_spur::KIND,
    reciprocal_mixing::KIND,
    blocking::KIND,
];

/// Every place where a receiver hears.
///
/// One that may be tuned anywhere in a band is judged on its channels alone: its images move with its tuning.
pub fn responses(receiver: &Receiver) -> Vec<Response> {
    let kinds = if receiver.anywhere_in.is_some() {
        &[channel::KIND][..]
    } else {
        ALL
    };
    let mut found = Vec::new();
    for kind in kinds {
        (kind.hear)(receiver, &mut found);
    }
    // A place inside the channel itself is the channel.
    let own = receiver.figures.bandwidth.as_hz();
    found.retain(|response| {
        let off = (response.centre - receiver.frequency).abs().as_hz();
        off == 0 || off >= own
    });
    found
}

/// A kind of response.
#[derive(Debug, Clone, Copy)]
pub struct Kind {
    /// What `explain` says of it; its id names the findings of plain carriers.
    pub topic: Topic,
    /// Adds every place of this kind where a receiver hears.
    pub hear: fn(&Receiver, &mut Vec<Response>),
    /// How the receiver comes to hear there, in a sentence.
    pub why: fn(&Receiver, &Response) -> String,
}

/// A place where a receiver hears.
#[derive(Debug, Clone)]
pub struct Response {
    /// Index of its kind in [`ALL`].
    pub kind: usize,
    /// Where a line must be.
    pub centre: Frequency,
    /// The sum behind the place, as a planner would write it.
    pub arithmetic: Arithmetic,
    /// How often the line's frequency enters: a line off by δ is off by this times δ in the channel.
    pub multiple: i64,
    /// How far the receiver's own oscillators may put a line off in the channel.
    pub drift: Offset,
    /// How far from the centre it hears.
    pub shape: Shape,
    /// What stands between the socket and the stage that hears, beside what `strength` says.
    pub ahead: Vec<Loss>,
    /// How strongly it hears.
    pub strength: Strength,
    /// What had to be assumed for it to exist at all; such a finding is never more than a caution.
    pub supposed: Option<String>,
}

/// A loss ahead of the stage that hears.
#[derive(Debug, Clone, PartialEq)]
pub struct Loss {
    /// What takes it.
    pub what: &'static str,
    /// How much.
    pub loss: Sourced<Decibels>,
}

/// How far from its centre a response hears.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Like the channel filter, this wide in the channel; the part of a line inside it counts.
    Window(Bandwidth),
    /// Anything whose middle is from one distance up to another, either side.
    Ring {
        /// The least distance, included.
        from: Offset,
        /// The distance where another response takes over, not included.
        to: Offset,
    },
}

/// How strongly a response hears.
#[derive(Debug, Clone, PartialEq)]
pub enum Strength {
    /// In full.
    Full,
    /// Less by a rejection, dB for dB.
    Rejected(Sourced<Decibels>),
    /// Less by what a filter's skirt gives: half the power at its edge, a rejection where that is stated, a straight line in dB
    /// between the two (our choice), and no more beyond.
    Skirt {
        /// The stated rejection.
        rejection: Sourced<Decibels>,
        /// From the middle to the edge.
        edge: Offset,
        /// From the middle to where the rejection is stated.
        stated_at: Offset,
    },
    /// Less by a rejection stated near the channel, and by the receiver's own filter at the line's frequency.
    Filtered(Sourced<Decibels>),
    /// By a non-linearity: `order` dB for every dB of the line, from an intercept.
    Mixed {
        /// The order.
        order: u32,
        /// The intercept behind the stated rejection.
        intercept: Level,
        /// The stated rejection.
        rejection: Sourced<Decibels>,
        /// Whether the receiver's own filter at the line's frequency comes on top of what is stated.
        is_filtered: bool,
    },
}

impl Response {
    /// Whether a line must fall on it, as on a channel or an image, rather than merely be strong.
    pub const fn is_landing(&self) -> bool {
        matches!(self.shape, Shape::Window(_))
    }

    /// Its kind.
    pub fn kind(&self) -> Option<&'static Kind> {
        ALL.get(self.kind)
    }

    /// Enters what the receiver makes of a level that arrives at its socket, as if it had come on the channel.
    pub fn enter(
        &self,
        receiver: &Receiver,
        line: Frequency,
        arriving: impl FnOnce() -> Level,
        ledger: &mut impl Ledger,
    ) {
        let title = self.kind().map_or("", |kind| kind.topic.title);
        for Loss { what, loss } in &self.ahead {
            ledger.enter(-loss.value, || {
                ((*what).to_owned(), loss.origin.to_string())
            });
            ledger.vary(spread::equipment(loss));
            assume(loss, receiver, what, ledger);
        }
        match &self.strength {
            Strength::Full => {}
            Strength::Rejected(rejection) => {
                reject(rejection, title, ledger);
                assume(rejection, receiver, title, ledger);
            }
            Strength::Skirt {
                rejection,
                stated_at,
                ..
            } => {
                ledger.enter(-self.skirt_at(line), || {
                    let off = (line - self.centre).abs();
                    let note = format!("{} at {stated_at}: {}", rejection.value, rejection.origin);
                    (
                        format!("rejection {off} off: {}", within_a_sentence(title)),
                        note,
                    )
                });
                ledger.vary(spread::equipment(rejection));
                assume(rejection, receiver, title, ledger);
            }
            Strength::Filtered(rejection) => {
                reject(rejection, title, ledger);
                preselect(receiver, line, ledger);
                assume(rejection, receiver, title, ledger);
            }
            Strength::Mixed {
                order,
                intercept,
                rejection,
                is_filtered,
            } => {
                let mut arriving = arriving() - self.lost_ahead();
                if *is_filtered {
                    arriving = arriving - receiver.figures.preselector.loss_at(line);
                    preselect(receiver, line, ledger);
                }
                let steps = f64::from(*order) - 1.0;
                // At its intercept a stage is long past its law: no mixing makes more of a signal than the signal.
                let change = ((arriving - *intercept) * steps).min(Decibels::ZERO);
                ledger.enter(change, || {
                    (
                        format!("{title}: order {order} from an intercept of {intercept}"),
                        format!(
                            "from a rejection of {}: {}",
                            rejection.value, rejection.origin
                        ),
                    )
                });
                ledger.steepen(f64::from(*order));
                // A rejection that is off by 1 dB moves the level by the order.
                ledger.vary(spread::equipment(rejection) * f64::from(*order));
                assume(rejection, receiver, title, ledger);
            }
        }
    }

    /// What stands ahead of the stage that hears takes, all together.
    fn lost_ahead(&self) -> Decibels {
        let losses = self.ahead.iter().map(|loss| loss.loss.value);
        losses.fold(Decibels::ZERO, |sum, loss| sum + loss)
    }

    /// What a filter's skirt takes from a line; nothing where there is no skirt.
    pub fn skirt_at(&self, line: Frequency) -> Decibels {
        let Strength::Skirt {
            rejection,
            edge,
            stated_at,
        } = &self.strength
        else {
            return Decibels::ZERO;
        };
        let off = (line - self.centre).abs();
        let whole = (stated_at.as_hz() - edge.as_hz()).max(1) as f64;
        let part = ((off.as_hz() - edge.as_hz()) as f64 / whole).clamp(0.0, 1.0);
        let at_edge = HALF_POWER.min(rejection.value);
        at_edge + (rejection.value - at_edge) * part
    }

    /// How many dB what it amounts to rises for one dB at the socket.
    pub const fn slope(&self) -> u32 {
        match self.strength {
            Strength::Mixed { order, .. } => order,
            _ => 1,
        }
    }

    /// The faintest level at the socket that amounts to `floor` on the channel, the receiver's own filter left out.
    pub fn faintest(&self, floor: Level) -> Level {
        let heard = match &self.strength {
            Strength::Full | Strength::Skirt { .. } => floor,
            Strength::Rejected(rejection) | Strength::Filtered(rejection) => {
                floor + rejection.value
            }
            Strength::Mixed {
                order, intercept, ..
            } => {
                let steps = f64::from(*order) - 1.0;
                let arriving =
                    (floor.as_dbm() + steps * intercept.as_dbm()) / f64::from((*order).max(1));
                floor.max(Level::dbm(arriving))
            }
        };
        heard + self.lost_ahead()
    }
}

/// What a filter takes at the edge of its bandwidth, where half of the power of a narrow signal is lost.
const HALF_POWER: Decibels = Decibels::db(3.0);

fn reject(rejection: &Sourced<Decibels>, title: &str, ledger: &mut impl Ledger) {
    ledger.enter(-rejection.value, || {
        let title = within_a_sentence(title);
        (format!("rejection: {title}"), rejection.origin.to_string())
    });
    ledger.vary(spread::equipment(rejection));
}

fn preselect(receiver: &Receiver, line: Frequency, ledger: &mut impl Ledger) {
    let filter = receiver.figures.preselector.loss_at(line);
    if filter != Decibels::ZERO {
        ledger.enter(-filter, || {
            ("the receiver's own filter".to_owned(), "profile".to_owned())
        });
    }
}

fn assume(figure: &Sourced<Decibels>, receiver: &Receiver, title: &str, ledger: &mut impl Ledger) {
    if !figure.is_stated() {
        ledger.assume(|| {
            format!(
                "{}, {}: {} ({})",
                receiver.name,
                within_a_sentence(title),
                figure.value,
                figure.origin.brief()
            )
        });
    }
}

/// A title as words in the middle of a sentence.
fn within_a_sentence(title: &str) -> String {
    let mut letters = title.chars();
    let first = letters.next().into_iter().flat_map(char::to_lowercase);
    first.chain(letters).collect()
}

/// How far a receiver may be tuned off its channel.
///
/// All its oscillators take part in that, and the channel is what their sum comes to.
fn drift(receiver: &Receiver) -> Offset {
    receiver.figures.tolerance.of(receiver.frequency)
}

/// How far the oscillators may be off where a mixer takes the first one `multiple` times: as much as that many times its
/// frequency, and the IF for what follows.
///
/// # Source
/// Worst case, own derivation: the later oscillators bring the IF down to nothing, so they are off by its share.
fn mixed_drift(receiver: &Receiver, mixer: Superhet, multiple: u32) -> Offset {
    let taken = mixer
        .oscillator()
        .frequency
        .as_hz()
        .saturating_mul(i64::from(multiple));
    let sum = taken.saturating_add(mixer.intermediate().as_hz());
    receiver.figures.tolerance.of(Frequency::hz(sum))
}

/// The index of a kind in [`ALL`], by its id.
fn index_of(topic: &Topic) -> usize {
    ALL.iter()
        .position(|kind| kind.topic.id == topic.id)
        .unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::provenance::Origin;
    use crate::radio::Injection;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};

    fn said(value: f64) -> Sourced<Decibels> {
        Sourced::new(Decibels::db(value), Origin::Said("a test".into()))
    }

    /// The channel of a receiver, heard otherwise, with so much lost ahead.
    fn heard(strength: Strength, ahead: &[f64]) -> Response {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut one = responses(scene.receivers.get(0).unwrap()).swap_remove(0);
        one.strength = strength;
        let loss = |&loss: &f64| Loss {
            what: "a pad",
            loss: said(loss),
        };
        one.ahead = ahead.iter().map(loss).collect();
        one
    }

    #[test]
    fn a_skirt_falls_in_a_straight_line_from_half_the_power_at_its_edge() {
        let skirt = |rejection: f64| {
            let strength = Strength::Skirt {
                rejection: said(rejection),
                edge: Offset::hz(6_000),
                stated_at: Offset::hz(25_000),
            };
            let one = heard(strength, &[]);
            move |off: i64| one.skirt_at(one.centre + Offset::hz(off)).as_db()
        };
        let at = skirt(60.0);
        // 3 dB at 6 kHz and 60 dB at 25 kHz: 31.5 dB half way, on either side.
        for (off, expected) in [
            (0, 3.0),
            (6_000, 3.0),
            (15_500, 31.5),
            (-15_500, 31.5),
            (25_000, 60.0),
            (90_000, 60.0),
        ] {
            assert!((at(off) - expected).abs() < 1e-9, "{off}");
        }
        // A filter that takes less than that nowhere takes more.
        assert!((skirt(2.0)(6_000) - 2.0).abs() < 1e-9);
    }

    #[test]
    fn the_faintest_that_matters_is_the_floor_and_what_is_lost_on_the_way_to_it() {
        let faintest = |strength: Strength, ahead: &[f64]| {
            heard(strength, ahead).faintest(Level::dbm(-120.0)).as_dbm()
        };
        let mixed = |order: u32, intercept: f64| Strength::Mixed {
            order,
            intercept: Level::dbm(intercept),
            rejection: said(80.0),
            is_filtered: false,
        };
        for (strength, ahead, expected) in [
            (Strength::Full, vec![], -120.0),
            (Strength::Full, vec![10.0, 4.0], -106.0),
            (Strength::Rejected(said(80.0)), vec![], -40.0),
            (Strength::Filtered(said(80.0)), vec![5.0], -35.0),
            // Of order n, n times the level less n − 1 times the intercept.
            (mixed(2, 40.0), vec![], -40.0),
            (mixed(3, 15.0), vec![], -30.0),
            (mixed(3, 15.0), vec![10.0], -20.0),
            // Below its intercept no mixing makes more of a signal than the signal.
            (mixed(2, -130.0), vec![], -120.0),
        ] {
            let told = format!("{strength:?}");
            let found = faintest(strength, &ahead);
            assert!((found - expected).abs() < 1e-9, "{told}: {found}");
        }
    }

    #[test]
    fn a_multiple_of_an_oscillator_is_as_many_times_off_and_the_if_once() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut receiver = scene.receivers.get(0).unwrap().clone();
        let mut figures = (*receiver.figures).clone();
        figures.tolerance.value = crate::quantity::Tolerance::ppb(1_000);
        receiver.figures = figures.into();
        let mixer = Superhet::tuned(
            Frequency::hz(145_000_000),
            Frequency::hz(45_000_000),
            Injection::High,
        );
        let off = |multiple: u32| mixed_drift(&receiver, mixer.unwrap(), multiple).as_hz();
        // A part in a million of 190 MHz, once, twice and not at all, and of 45 MHz.
        assert_eq!([0, 1, 2].map(off), [45, 235, 425]);
    }
}
