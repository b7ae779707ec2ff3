//! Senders and hearers of the network as findings name them: their places are those of the scene.

use std::collections::BTreeSet;

use super::Situation;
use crate::finding::{Term, Victim};
use crate::net::{HearerId, RadioId, SenderId};
use crate::scenario::Window;

/// So many are called by name.
const NAMED: usize = 6;

impl Situation<'_> {
    /// A hearer as one who suffers.
    pub(super) fn victim(&self, id: HearerId) -> Option<Victim> {
        self.scene.receivers.get(id.0).map(|receiver| Victim {
            station: receiver.station.clone(),
            receiver: receiver.part.clone(),
            frequency: receiver.frequency,
        })
    }

    /// A sender as a source.
    pub(super) fn term(&self, id: SenderId) -> Option<Term> {
        self.scene.transmitters.get(id.0).map(|transmitter| Term {
            name: transmitter.name.clone(),
            frequency: transmitter.frequency,
            coefficient: 1,
        })
    }

    /// When a radio is on the air; empty for always.
    fn windows(&self, radio: RadioId) -> &[Window] {
        let (ours, theirs) = (&self.plan.stations, &self.plan.in_use);
        if let Some(station) = ours.get(radio.0) {
            return &station.windows;
        }
        let place = radio.0.saturating_sub(ours.len());
        let entry = theirs
            .get(place)
            .or_else(|| theirs.get(place.saturating_sub(theirs.len())));
        entry.map_or(&[], |entry| entry.windows.as_slice())
    }

    /// The stretches of time that some radios have in common; none where nothing bounds them.
    fn common(&self, radios: impl IntoIterator<Item = RadioId>) -> Option<Vec<Window>> {
        Window::common(radios.into_iter().map(|radio| self.windows(radio)))
    }

    /// Whether some radios are ever on the air at the same time.
    pub(super) fn ever_together(&self, radios: impl IntoIterator<Item = RadioId>) -> bool {
        self.common(radios)
            .is_none_or(|windows| !windows.is_empty())
    }

    /// The phases of the event in which all of some radios are on the air; none where nothing is to be told.
    pub(super) fn when(&self, radios: impl IntoIterator<Item = RadioId>) -> Option<String> {
        self.when_any([radios])
    }

    /// The phases into which stretches of time reach; none where nothing is to be told.
    pub(super) fn when_within(&self, windows: Option<&[Window]>) -> Option<String> {
        let event = &self.plan.event;
        event.told(&event.phases_in(windows))
    }

    /// The phases in which a sender and a hearer are both on the air.
    pub(super) fn when_both(&self, from: SenderId, to: HearerId) -> Option<String> {
        let network = &self.view().network;
        let sender = network.sender(from).map(|sender| sender.radio);
        let hearer = network.hearer(to).map(|hearer| hearer.radio);
        self.when(sender.into_iter().chain(hearer))
    }

    /// The same for several groups of radios, where one group is enough.
    pub(super) fn when_any<Radios: IntoIterator<Item = RadioId>>(
        &self,
        groups: impl IntoIterator<Item = Radios>,
    ) -> Option<String> {
        let event = &self.plan.event;
        let phases: BTreeSet<usize> = groups
            .into_iter()
            .flat_map(|radios| event.phases_in(self.common(radios).as_deref()))
            .collect();
        event.told(&phases)
    }

    /// What some radios are called, in a list.
    pub(super) fn names<'a>(&'a self, radios: impl IntoIterator<Item = &'a RadioId>) -> String {
        let network = &self.view().network;
        let names: Vec<&str> = radios
            .into_iter()
            .map(|radio| network.radio_name(*radio))
            .collect();
        let shown: Vec<&str> = names.iter().copied().take(NAMED).collect();
        match (names.len().saturating_sub(NAMED), shown.split_last()) {
            (_, None) => String::new(),
            (0, Some((only, []))) => (*only).to_owned(),
            (0, Some((last, rest))) => format!("{} and {last}", rest.join(", ")),
            (more, _) => format!("{} and {more} more", shown.join(", ")),
        }
    }
}

/// A share from 0 to 1 as a planner writes it.
pub(super) fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::scene::Scene;
    use crate::scene::sample::plan;

    /// A tone of somebody who comes for the start at the receiver of somebody who stays.
    #[test]
    fn a_sender_and_a_hearer_are_told_with_the_phases_that_both_are_there_in() {
        let text = "
event:
  name: Sample
  from: 2027-05-16T08:00+00:00[UTC]
  to: 2027-05-16T14:00+00:00[UTC]
  phases:
    - {name: start, from: '08:00', to: '10:00'}
    - {name: race, from: '10:00', to: '14:00'}
rules: [uk]
licence: full
sites:
  hill: {at: [54.4150, -0.5320], ground: 100 m}
stations:
  - {name: Base, site: hill, radio: mobile-2m, talk: 145.4500}
  - {name: Starter, site: hill, radio: mobile-2m, talk: 145.4500, phases: [start]}
";
        let plan = crate::scenario::read("x.yaml", text.as_bytes(), &crate::scenario::NoFiles)
            .unwrap_or_else(|faults| panic!("{faults}"));
        let scene = Scene::build(&plan, None);
        let situation = Situation::new(&scene, None, crate::scenario::Legs::NONE);
        let network = &situation.view().network;
        let of = |name: &str| {
            let sender = network.senders.iter().position(|one| one.name == name);
            let hearer = network
                .hearers
                .iter()
                .position(|one| network.radio_name(one.radio) == name);
            (SenderId(sender.unwrap()), HearerId(hearer.unwrap()))
        };
        let ((base, base_hears), (starter, starter_hears)) = (of("Base"), of("Starter"));
        assert_eq!(situation.when_both(base, base_hears), None);
        for (from, to) in [(starter, base_hears), (base, starter_hears)] {
            let told = situation.when_both(from, to);
            assert_eq!(told.as_deref(), Some("start"));
        }
    }

    #[test]
    fn six_are_called_by_name_and_of_more_the_rest_is_counted() {
        let stations: Vec<String> = (1..=8)
            .map(|one| {
                format!("  - {{name: S{one}, site: hill, radio: mobile-2m, talk: 145.4500}}\n")
            })
            .collect();
        let plan = plan(&format!(
            "
sites:
  hill: {{at: [54.4150, -0.5320], ground: 100 m}}
stations:
{}",
            stations.concat()
        ));
        let scene = Scene::build(&plan, None);
        let situation = Situation::new(&scene, None, crate::scenario::Legs::NONE);
        let names = |count: usize| {
            let radios: Vec<RadioId> = (0..count).map(RadioId).collect();
            situation.names(&radios)
        };
        assert_eq!(names(0), "");
        assert_eq!(names(1), "S1");
        assert_eq!(names(3), "S1, S2 and S3");
        assert_eq!(names(6), "S1, S2, S3, S4, S5 and S6");
        assert_eq!(names(8), "S1, S2, S3, S4, S5, S6 and 2 more");
    }
}
