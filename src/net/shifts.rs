//! Who is there when: the stretches of the event in which nobody comes or goes.

use std::borrow::Cow;
use std::collections::BTreeSet;

use super::{Network, RadioId};
use crate::scenario::Window;

/// A stretch of time in which nobody comes or goes.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Shift {
    /// When it is; none where nobody ever comes or goes.
    pub window: Option<Window>,
    /// Who is not on the air.
    pub absent: BTreeSet<RadioId>,
}

impl Shift {
    /// Whether a radio is on the air.
    pub fn has(&self, radio: RadioId) -> bool {
        !self.absent.contains(&radio)
    }
}

/// The one shift of a network in which nobody comes or goes.
const ALWAYS: &[Shift] = &[Shift {
    window: None,
    absent: BTreeSet::new(),
}];

impl Network {
    /// The stretches of time in which nobody comes or goes, in order; one without bounds where nobody ever does.
    pub fn shifts(&self) -> &[Shift] {
        if self.shifts.is_empty() {
            ALWAYS
        } else {
            &self.shifts
        }
    }

    /// Divides a stretch of time by the comings and goings of those who are heard or hear; none given, from the first
    /// coming of one of ours to the last going.
    pub fn divide(&mut self, event: Option<Window>) {
        self.shifts = Vec::new();
        if self.radios.iter().all(|one| one.windows.is_empty()) {
            return;
        }
        let concerned: BTreeSet<RadioId> = self
            .heard
            .iter()
            .flat_map(|((from, to), _)| {
                let sender = self.sender(from).map(|sender| sender.radio);
                sender
                    .into_iter()
                    .chain(self.hearer(to).map(|hearer| hearer.radio))
            })
            .chain(self.radio_ids().filter(|id| self.is_ours(*id)))
            .filter(|id| {
                self.radio(*id)
                    .is_some_and(|radio| !radio.windows.is_empty())
            })
            .collect();
        let windows = |id: RadioId| {
            self.radio(id)
                .map_or(&[][..], |radio| radio.windows.as_slice())
        };
        let ours = || {
            let ours = concerned.iter().filter(|id| self.is_ours(**id));
            ours.flat_map(|id| windows(*id))
        };
        let hull = || {
            Some(Window {
                from: ours().map(|window| window.from).min()?,
                to: ours().map(|window| window.to).max()?,
            })
        };
        let Some(whole) = event.or_else(hull).filter(|_| !concerned.is_empty()) else {
            return;
        };
        let inside = concerned
            .iter()
            .flat_map(|id| windows(*id))
            .flat_map(|window| [window.from, window.to])
            .filter(|edge| (whole.from..whole.to).contains(edge));
        let edges: BTreeSet<i64> = inside.chain([whole.from, whole.to]).collect();
        let mut shifts: Vec<Shift> = Vec::new();
        for (&from, &to) in edges.iter().zip(edges.iter().skip(1)) {
            let is_there = |id: &RadioId| {
                let mut windows = windows(*id).iter();
                windows.any(|window| window.from <= from && to <= window.to)
            };
            let absent = concerned
                .iter()
                .copied()
                .filter(|id| !is_there(id))
                .collect();
            match shifts.last_mut() {
                Some(Shift {
                    window: Some(window),
                    absent: before,
                }) if *before == absent => window.to = to,
                _ => shifts.push(Shift {
                    window: Some(Window { from, to }),
                    absent,
                }),
            }
        }
        self.shifts = shifts;
    }

    /// The network as it is in one shift: those who are not there neither send nor hear.
    pub fn during(&self, shift: &Shift) -> Cow<'_, Self> {
        if shift.absent.is_empty() {
            return Cow::Borrowed(self);
        }
        let is_there = |(sender, hearer)| {
            self.sender(sender).is_some_and(|one| shift.has(one.radio))
                && self.hearer(hearer).is_some_and(|one| shift.has(one.radio))
        };
        Cow::Owned(Self {
            shifts: Vec::new(),
            heard: self.heard.only(is_there),
            ..self.clone()
        })
    }

    /// Whether some radios are ever on the air at the same time.
    pub fn ever_together(&self, radios: impl IntoIterator<Item = RadioId>) -> bool {
        let radios: BTreeSet<RadioId> = radios.into_iter().collect();
        let mut shifts = self.shifts().iter();
        shifts.any(|shift| shift.absent.is_disjoint(&radios))
    }
}

#[cfg(test)]
mod tests {
    use super::super::model::small::{Sketch, U, V};
    use super::super::{way, ways_from};
    use std::sync::Arc;

    use super::*;

    fn window(from: i64, to: i64) -> Window {
        Window { from, to }
    }

    /// A chain of two relays, of which one goes when the other comes.
    fn chain(first: Vec<Window>, second: Vec<Window>) -> (Network, RadioId, RadioId) {
        let mut sketch = Sketch::default();
        let marshal = sketch.talker("Marshal", U, None);
        let one = sketch.relay("One", [(U, None), (V, None)], 0);
        let two = sketch.relay("Two", [(V, None), (433_550_000, None)], 0);
        let control = sketch.talker("Control", 433_550_000, None);
        let mut network = sketch.all_within_earshot(&[]);
        let radios = Arc::make_mut(&mut network.radios);
        radios[one.0].windows = first;
        radios[two.0].windows = second;
        network.divide(Some(window(0, 100)));
        (network, marshal, control)
    }

    #[test]
    fn a_way_needs_all_its_relays_at_one_time_and_not_only_two_by_two() {
        let (apart, marshal, control) = chain(vec![window(0, 50)], vec![window(50, 100)]);
        assert_eq!(way(&apart, marshal, control), None);
        let (together, ..) = chain(vec![window(0, 51)], vec![window(50, 100)]);
        let found = way(&together, marshal, control).unwrap();
        assert_eq!(found.windows, Some(vec![window(50, 51)]));
    }

    #[test]
    fn shifts_fill_the_event_and_equal_ones_are_one() {
        let (network, marshal, _) =
            chain(vec![window(-5, 20), window(20, 60)], vec![window(40, 200)]);
        let windows: Vec<Window> = network
            .shifts()
            .iter()
            .filter_map(|one| one.window)
            .collect();
        assert_eq!(windows, [window(0, 40), window(40, 60), window(60, 100)]);
        assert!(network.shifts()[1].absent.is_empty());
        assert!(ways_from(&network, marshal).contains_key(&RadioId(1)));
    }

    #[test]
    fn where_nobody_comes_or_goes_there_is_one_shift_without_bounds() {
        let (network, marshal, control) = chain(Vec::new(), Vec::new());
        assert_eq!(network.shifts(), ALWAYS);
        assert_eq!(way(&network, marshal, control).unwrap().windows, None);
    }
}
