//! YAML events into a tree, inside a budget that no alias and no nesting can break.

use std::collections::BTreeMap;
use std::rc::Rc;

use serde_yaml::granit_parser::{
    self, ErrorKind, Event, Parser, ScalarStyle, Span, StructureStyle,
};

use super::bounds::{BYTES_A_VALUE, DEEPEST, LONGEST_TEXT, MOST_FAULTS, MOST_VALUES};
use super::fault::Fault;
use super::pairs::Pairs;
use super::source::{Place, Source};
use super::tree::{Kind, Node};

/// What mends an alias.
const ANCHORS: &str = "write the value itself, or `&name` before a value further up; a text that begins with `*` stands in quotation marks";

/// The tree of a source, or nothing when the fault that was met leaves none.
pub(super) fn grow(source: &Source, faults: &mut Vec<Fault>) -> Option<Rc<Node>> {
    let options = granit_parser::options! { emit_unresolved_aliases: true };
    let mut builder = Builder {
        faults,
        open: Vec::new(),
        anchors: BTreeMap::new(),
        root: None,
        count: 0,
        spent: 0,
    };
    for event in Parser::new_from_str_with_options(source.text(), options) {
        let outcome = match event {
            Ok((event, span)) => builder.take(event, span),
            Err(error) => {
                let start = error.marker().byte_offset().unwrap_or(0);
                let end = start + 1;
                let place = Place { start, end };
                Err(scan_fault(
                    place,
                    error.kind(),
                    builder.innermost_bracket(source.text()),
                ))
            }
        };
        if let Err(fault) = outcome {
            builder.faults.push(fault);
            return None;
        }
        if builder.faults.len() >= MOST_FAULTS {
            return None;
        }
    }
    if builder.root.is_none() {
        let start = Place::default();
        builder.faults.push(
            Fault::new(start, "the file holds nothing but comments")
                .help("write its keys, each with a colon and a value after it"),
        );
    }
    builder.root
}

/// What the parser could not read; a bracket that is open there may be what is wrong.
fn scan_fault(place: Place, kind: &ErrorKind, bracket: Option<Place>) -> Fault {
    let fault = Fault::new(place, format!("this is not valid YAML: {kind}"));
    match kind {
        ErrorKind::RecursionLimitExceeded => too_deep(place),
        ErrorKind::UnclosedQuotedScalar => fault
            .help("close the quotation mark that opens here; a text with a quotation mark in it stands between marks of the other kind"),
        ErrorKind::ExpectedFlowMappingSeparator
        | ErrorKind::ExpectedFlowSequenceSeparator
        | ErrorKind::UnexpectedEofFlowMapping
        | ErrorKind::UnexpectedEofFlowSequence
        | ErrorKind::UnclosedFlowCollection { .. }
        | ErrorKind::MismatchedFlowCollectionEnd { .. }
        | ErrorKind::MisplacedFlowCollectionEnd => {
            let fault = fault.help("close each bracket once, with its like, and put a comma between its entries");
            match bracket.filter(|bracket| bracket.start != place.start) {
                Some(bracket) => fault.also(bracket, "this bracket is still open"),
                None => fault,
            }
        }
        _ => fault.help("indent with spaces, alike in one list; quote a text with a colon, `#` or a symbol at its front"),
    }
}

fn too_deep(place: Place) -> Fault {
    Fault::new(
        place,
        format!("lists and mappings are nested more than {DEEPEST} deep"),
    )
    .help("no key of any file needs that; take brackets out, or close one that was left open further up")
}

fn too_long(place: Place) -> Fault {
    Fault::new(
        place,
        format!("this text is longer than {LONGEST_TEXT} characters"),
    )
    .help("write it shorter, or close a quotation mark that was left open")
}

fn place_of(span: &Span) -> Place {
    let bytes = span.byte_range().unwrap_or_default();
    Place {
        start: bytes.start,
        end: bytes.end,
    }
}

/// A collection whose end has not come yet.
struct Open {
    place: Place,
    style: StructureStyle,
    anchor: usize,
    weight: usize,
    height: usize,
    inside: Inside,
}

enum Inside {
    Sequence(Vec<Rc<Node>>),
    Mapping(Pairs),
}

struct Builder<'f> {
    faults: &'f mut Vec<Fault>,
    open: Vec<Open>,
    /// Nothing stands under an anchor while its collection is open.
    anchors: BTreeMap<usize, Option<Rc<Node>>>,
    root: Option<Rc<Node>>,
    count: usize,
    spent: usize,
}

impl Builder<'_> {
    /// Where the innermost bracket begins that is still open; a pair in a list is a mapping without one.
    fn innermost_bracket(&self, text: &str) -> Option<Place> {
        let begins = |one: &&Open| text.get(one.place.start..)?.chars().next();
        let mut open = self.open.iter().rev();
        let bracket = open.find(|one| {
            one.style == StructureStyle::Flow && matches!(begins(one), Some('[' | '{'))
        })?;
        let start = bracket.place.start;
        Some(Place {
            start,
            end: start + 1,
        })
    }

    fn take(&mut self, event: Event<'_>, span: Span) -> Result<(), Fault> {
        let place = place_of(&span);
        if span.tag_start().is_some() {
            let tag = span.tag_span().as_ref().map_or(place, place_of);
            self.faults.push(
                Fault::new(tag, "a tag has no meaning in this file")
                    .help("leave the word with the exclamation mark out"),
            );
        }
        match event {
            Event::DocumentStart(..) if self.root.is_some() => {
                Err(Fault::new(place, "a second document begins here")
                    .help("a file holds one document; put the other into a file of its own"))
            }
            Event::Scalar(text, style, anchor, _) => {
                let plain = style == ScalarStyle::Plain;
                self.scalar(text.into_owned(), plain, anchor, place)
            }
            Event::SequenceStart(style, anchor, _) => {
                self.begin(style, anchor, place, Inside::Sequence(Vec::new()))
            }
            Event::MappingStart(style, anchor, _) => {
                self.begin(style, anchor, place, Inside::Mapping(Pairs::default()))
            }
            Event::SequenceEnd | Event::MappingEnd => {
                self.end(place);
                Ok(())
            }
            Event::Alias(id) => self.alias(id, place),
            Event::UnresolvedAlias(name) => {
                let message = format!("no anchor `&{name}` stands above this");
                self.broken(place, &message, ANCHORS);
                Ok(())
            }
            _ => Ok(()),
        }
    }

    fn scalar(
        &mut self,
        text: String,
        plain: bool,
        anchor: usize,
        place: Place,
    ) -> Result<(), Fault> {
        if text.len() > LONGEST_TEXT && text.chars().nth(LONGEST_TEXT).is_some() {
            self.faults.push(too_long(place));
            self.put(Rc::new(Node::broken(place)));
            return Ok(());
        }
        let weight = 1 + text.len() / BYTES_A_VALUE;
        self.spend(weight, place)?;
        let is_key = match self.open.last_mut().map(|open| &mut open.inside) {
            Some(Inside::Mapping(pairs)) if pairs.expects_key() => {
                pairs.merges_next(plain && text == "<<");
                true
            }
            _ => false,
        };
        let kind = if plain && !is_key && matches!(text.as_str(), "" | "~" | "null") {
            Kind::Null
        } else {
            Kind::Scalar(text)
        };
        self.finish(anchor, place, kind, weight, 0);
        Ok(())
    }

    fn begin(
        &mut self,
        style: StructureStyle,
        anchor: usize,
        place: Place,
        inside: Inside,
    ) -> Result<(), Fault> {
        self.spend(1, place)?;
        if self.open.len() >= DEEPEST {
            return Err(too_deep(place));
        }
        if anchor != 0 {
            self.anchors.insert(anchor, None);
        }
        self.open.push(Open {
            place,
            style,
            anchor,
            weight: 1,
            height: 1,
            inside,
        });
        Ok(())
    }

    fn end(&mut self, end: Place) {
        let Some(open) = self.open.pop() else { return };
        let (head, kind) = match open.inside {
            Inside::Sequence(list) => (None, Kind::Sequence(list)),
            Inside::Mapping(pairs) => {
                let entries = pairs.finish(self.faults);
                let head = entries.first().map(|(key, _)| key.place);
                (head, Kind::Mapping(entries))
            }
        };
        let place = match (open.style, head) {
            (StructureStyle::Flow, _) => Place {
                start: open.place.start,
                end: end.end,
            },
            // What `<<` brings in stands elsewhere, so it is no head.
            (StructureStyle::Block, Some(key)) if key.start >= open.place.start => key,
            (StructureStyle::Block, _) => Place {
                start: open.place.start,
                end: open.place.start + 1,
            },
        };
        self.finish(open.anchor, place, kind, open.weight, open.height);
    }

    fn alias(&mut self, id: usize, place: Place) -> Result<(), Fault> {
        let Some(node) = self.anchors.get(&id).cloned().flatten() else {
            self.broken(place, "this alias stands inside what it repeats", ANCHORS);
            return Ok(());
        };
        self.spend(node.weight, place)?;
        if self.open.len() + node.height > DEEPEST {
            return Err(too_deep(place));
        }
        self.put(node);
        Ok(())
    }

    fn spend(&mut self, values: usize, place: Place) -> Result<(), Fault> {
        self.spent = self.spent.saturating_add(values);
        if self.spent > MOST_VALUES {
            return Err(Fault::new(
                place,
                format!("the file grows beyond {MOST_VALUES} values, its aliases written out"),
            )
            .help("keep what is near the event, and repeat less with `*`"));
        }
        Ok(())
    }

    fn broken(&mut self, place: Place, message: &str, help: &str) {
        self.faults.push(Fault::new(place, message).help(help));
        self.put(Rc::new(Node::broken(place)));
    }

    fn finish(&mut self, anchor: usize, place: Place, kind: Kind, weight: usize, height: usize) {
        self.count += 1;
        let node = Rc::new(Node {
            id: self.count,
            place,
            kind,
            weight,
            height,
        });
        if anchor != 0 {
            self.anchors.insert(anchor, Some(Rc::clone(&node)));
        }
        self.put(node);
    }

    fn put(&mut self, node: Rc<Node>) {
        let Some(open) = self.open.last_mut() else {
            self.root = Some(node);
            return;
        };
        open.weight = open.weight.saturating_add(node.weight);
        open.height = open.height.max(node.height + 1);
        match &mut open.inside {
            Inside::Sequence(list) => list.push(node),
            Inside::Mapping(pairs) => pairs.put(node, self.faults),
        }
    }
}
