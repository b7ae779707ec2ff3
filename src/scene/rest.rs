//! Who is left of those who stand in one scene in another, where some of them are gone.

use super::{Receiver, Roll, Scene, Transmitter};

/// Where those who stand in a scene stood in another one, which had them all and more.
#[derive(Debug)]
pub struct Rest {
    /// By place among the transmitters, the place it had.
    senders: Vec<usize>,
    /// By place among the receivers, the place it had.
    hearers: Vec<usize>,
}

impl Rest {
    /// Who is left in a scene of those of another one; none where somebody stands who did not stand there, or not so.
    pub fn of(scene: &Scene<'_>, known: &Scene<'_>) -> Option<Self> {
        let sender = |one: &Transmitter| (one.frequency, one.unit, one.side, one.mast);
        let hearer = |one: &Receiver| (one.frequency, one.unit, one.side, one.mast);
        Some(Self {
            senders: places(&scene.transmitters, &known.transmitters, sender)?,
            hearers: places(&scene.receivers, &known.receivers, hearer)?,
        })
    }

    /// By place among the transmitters, the place each had.
    pub fn senders(&self) -> &[usize] {
        &self.senders
    }

    /// By place among the receivers, the place each had.
    pub fn hearers(&self) -> &[usize] {
        &self.hearers
    }

    /// The place of a transmitter that had another one; none where it is gone.
    pub fn sender(&self, was: usize) -> Option<usize> {
        self.senders.binary_search(&was).ok()
    }

    /// The place of a receiver that had another one; none where it is gone.
    pub fn hearer(&self, was: usize) -> Option<usize> {
        self.hearers.binary_search(&was).ok()
    }
}

/// The places that those who stand in a list have in another one, in order.
fn places<T, K: PartialEq>(
    rest: &Roll<T>,
    all: &Roll<T>,
    key: impl Fn(&T) -> K,
) -> Option<Vec<usize>> {
    let mut known = all.iter().take(all.standing()).enumerate();
    let rest = rest.iter().take(rest.standing());
    rest.map(|one| {
        let is_it = |(_, other): &(usize, &T)| key(other) == key(one);
        Some(known.find(is_it)?.0)
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::sample::{CROWDED, plan};

    #[test]
    fn who_is_left_has_the_place_he_had_and_who_is_new_has_none() {
        let all = plan(CROWDED);
        let mut fewer = all.clone();
        fewer.in_use.get_mut(0).unwrap().output = None;
        let (known, scene) = (Scene::build(&all, None), Scene::build(&fewer, None));
        let rest = Rest::of(&scene, &known).unwrap();
        assert_eq!(rest.senders().len() + 1, known.transmitters.len());
        let name = |scene: &Scene<'_>, at: usize| scene.transmitters.get(at).unwrap().name.clone();
        let mut gone = Vec::new();
        for was in 0..known.transmitters.len() {
            match rest.sender(was) {
                Some(is) => assert_eq!(name(&scene, is), name(&known, was)),
                None => gone.push(name(&known, was)),
            }
        }
        assert_eq!(gone, [all.in_use.first().unwrap().name.clone()]);
        for (is, &was) in rest.hearers().iter().enumerate() {
            assert_eq!(rest.hearer(was), Some(is));
            let [one, other] = [(&scene, is), (&known, was)]
                .map(|(scene, at)| scene.receivers.get(at).unwrap().name.clone());
            assert_eq!(one, other);
        }
        assert!(Rest::of(&known, &scene).is_none());
    }
}
