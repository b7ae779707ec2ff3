//! How much room a text takes, and where several of them find it.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Width of a letter for each unit of the type's size: a little more than the usual sans serif has.
const LETTER: f64 = 0.58;

/// About how wide a text comes out.
pub(in crate::render) fn width_of(text: &str, size: f64) -> f64 {
    text.width() as f64 * size * LETTER
}

/// As much of a text as there is room for, with a sign that something is missing.
pub(in crate::render) fn fitted(text: &str, size: f64, room: f64) -> String {
    if width_of(text, size) <= room {
        return text.to_owned();
    }
    let mut taken = size * LETTER;
    let mut out = String::new();
    for letter in text.chars() {
        taken += letter.width().unwrap_or(0) as f64 * size * LETTER;
        if taken > room {
            break;
        }
        out.push(letter);
    }
    format!("{}…", out.trim_end())
}

/// Lanes that stretches are put in so that none covers another.
#[derive(Debug, Clone, Default)]
pub(in crate::render) struct Lanes {
    ends: Vec<f64>,
}

impl Lanes {
    /// The first lane in which a stretch finds room, given from left to right.
    pub(in crate::render) fn place(&mut self, from: f64, to: f64) -> usize {
        let free = self.ends.iter().position(|end| *end <= from);
        let lane = free.unwrap_or(self.ends.len());
        match self.ends.get_mut(lane) {
            Some(end) => *end = to,
            None => self.ends.push(to),
        }
        lane
    }

    /// How many lanes there are.
    pub(in crate::render) fn count(&self) -> usize {
        self.ends.len()
    }
}

/// Labels around points, none over another as far as there is room.
#[derive(Debug, Clone, Default)]
pub(in crate::render) struct Labels {
    taken: Vec<[f64; 4]>,
}

impl Labels {
    /// Keeps a box from left to right and from top to bottom free.
    pub(in crate::render) fn keep_free(
        &mut self,
        [left, right]: [f64; 2],
        [top, bottom]: [f64; 2],
    ) {
        self.taken.push([left, right, top, bottom]);
    }

    /// Where a text of a size begins on its base line, beside a point and within a frame from the upper left corner.
    pub(in crate::render) fn beside(
        &mut self,
        [x, y]: [f64; 2],
        text: &str,
        size: f64,
        frame: [f64; 2],
    ) -> [f64; 2] {
        let (width, gap) = (width_of(text, size), size * 0.8);
        let heights = (0..9).map(|step| {
            let away = f64::from((step + 1) / 2) * size * 1.15;
            if step % 2 == 1 { away } else { -away }
        });
        let starts = heights.flat_map(|dy| {
            let middle = (dy.abs() > size).then_some(x - width / 2.0);
            [Some(x + gap), Some(x - gap - width), middle]
                .into_iter()
                .flatten()
                .map(move |start| [start, y + dy + size * 0.35])
        });
        let boxed =
            |[start, base]: [f64; 2]| [start, start + width, base - size, base + size * 0.25];
        let is_inside = |place: &[f64; 2]| {
            let [left, right, top, bottom] = boxed(*place);
            let [most_x, most_y] = frame;
            left >= 0.0 && right <= most_x && top >= 0.0 && bottom <= most_y
        };
        let is_free = |place: &[f64; 2]| {
            let [left, right, top, bottom] = boxed(*place);
            self.taken
                .iter()
                .all(|[l, r, t, b]| right <= *l || left >= *r || bottom <= *t || top >= *b)
        };
        let places: Vec<[f64; 2]> = starts.filter(is_inside).collect();
        let best = places.iter().copied().find(is_free);
        let place = best.or(places.first().copied()).unwrap_or([x + gap, y]);
        self.taken.push(boxed(place));
        place
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_that_does_not_fit_says_that_something_is_missing() {
        assert_eq!(fitted("Hill relay", 10.0, 58.1), "Hill relay");
        assert_eq!(fitted("Hill relay", 10.0, 57.0), "Hill rel…");
        assert_eq!(fitted("Hill relay", 10.0, 0.0), "…");
    }

    #[test]
    fn no_stretch_covers_another_in_its_lane() {
        let mut lanes = Lanes::default();
        let placed =
            [(0.0, 5.0), (4.0, 9.0), (5.0, 6.0), (8.0, 9.0)].map(|(a, b)| lanes.place(a, b));
        assert_eq!(placed, [0, 1, 0, 0]);
        assert_eq!(lanes.count(), 2);
    }

    #[test]
    fn the_second_label_of_one_point_gives_way_to_the_first() {
        let mut labels = Labels::default();
        let frame = [200.0, 100.0];
        let [first, second] = [0, 1].map(|_| labels.beside([100.0, 50.0], "here", 10.0, frame));
        assert!(first[0] > 100.0);
        assert!(second[0] < 100.0);
        let edge = labels.beside([195.0, 90.0], "there", 10.0, frame);
        assert!(edge[0] + width_of("there", 10.0) <= 200.0);
    }
}
