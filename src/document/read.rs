//! The tree read as the types a stage asks for; a fault is told at once, and reading goes on where it can.

use std::fmt::Display;
use std::num::IntErrorKind;

use serde::Deserializer;
use serde::de::{Error, Unexpected, Visitor};

use super::access::{Choice, Fields, List, SaidParts};
use super::desk::Desk;
use super::fault::Fault;
use super::refusal::{Refusal, quoted, unknown};
use super::said::SAID;
use super::tree::{Entry, Kind, Node};

/// One value of the tree, about to be read.
#[derive(Clone, Copy)]
pub(super) struct Reader<'t> {
    pub(super) node: &'t Node,
    pub(super) desk: &'t Desk,
}

impl<'t> Reader<'t> {
    /// The same desk, another value.
    pub(super) const fn of(self, node: &'t Node) -> Self {
        Self {
            node,
            desk: self.desk,
        }
    }

    fn here<T>(self, result: Result<T, Refusal>) -> Result<T, Refusal> {
        result.map_err(|refusal| refusal.at(self.node.place))
    }

    /// The text of a scalar.
    fn text(self, wanted: &dyn serde::de::Expected) -> Result<&'t str, Refusal> {
        match &self.node.kind {
            Kind::Scalar(text) => Ok(text.as_str()),
            Kind::Broken => Err(Refusal::Told),
            Kind::Null => Err(Refusal::invalid_type(Unexpected::Unit, wanted)),
            Kind::Sequence(_) => Err(Refusal::invalid_type(Unexpected::Seq, wanted)),
            Kind::Mapping(_) => Err(Refusal::invalid_type(Unexpected::Map, wanted)),
        }
        .map_err(|refusal| refusal.at(self.node.place))
    }

    fn refuse<T>(self, wanted: &dyn std::fmt::Display) -> Result<T, Refusal> {
        let found = match &self.node.kind {
            Kind::Broken => return Err(Refusal::Told),
            Kind::Scalar(text) => quoted(text),
            Kind::Null => "nothing".to_owned(),
            Kind::Sequence(_) => "a list".to_owned(),
            Kind::Mapping(_) => "a mapping".to_owned(),
        };
        self.here(Err(Refusal::expected(wanted, &found)))
    }

    /// Reads the entries of a list, all of them.
    fn list<'de, V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        let nodes = match &self.node.kind {
            Kind::Sequence(nodes) => nodes.as_slice(),
            Kind::Null | Kind::Broken => &[],
            Kind::Scalar(text) => {
                let refusal = Refusal::expected(&"a list", &quoted(text));
                return self.here(Err(
                    refusal.help("put it in brackets, with commas between: `[one, other]`")
                ));
            }
            Kind::Mapping(_) => return self.refuse(&"a list"),
        };
        let mut list = List::new(self, nodes);
        let value = self.here(visitor.visit_seq(&mut list))?;
        match list.left() {
            0 => Ok(value),
            left => self.here(Err(Refusal::because(format!(
                "the list has {} values, which is {left} too many: take them out",
                nodes.len()
            )))),
        }
    }

    fn fields<'de, V: Visitor<'de>>(
        self,
        entries: &'t [Entry],
        known: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Refusal> {
        let mut kept = Vec::new();
        for entry in entries {
            let word = entry.0.text();
            if known.contains(&word) {
                kept.push(entry);
                continue;
            }
            if self.desk.is_full() {
                break;
            }
            let (message, help) = unknown("key", word, known);
            // In braces a decimal comma makes one number into two entries.
            let help = if word.starts_with(|first: char| first.is_ascii_digit()) {
                Some("write decimals with a point: a comma begins a new entry here".to_owned())
            } else {
                help
            };
            let fault = Fault::new(entry.0.place, message);
            self.desk.tell(match help {
                Some(help) => fault.help(help),
                None => fault,
            });
        }
        let mut lacking = self.desk.lacking(self.node);
        lacking.retain(|name| known.contains(name));
        for name in &lacking {
            self.desk.tell(self.missing(name));
        }
        let stand_in = Node::broken(self.node.place);
        match visitor.visit_map(Fields::new(self, kept, lacking, &stand_in)) {
            Err(Refusal::Missing(name)) => {
                self.desk.lacks(self.node, name);
                self.desk.tell(self.missing(name));
                Err(Refusal::Again)
            }
            other => self.here(other),
        }
    }

    fn missing(self, name: &str) -> Fault {
        Fault::new(self.node.place, format!("the key `{name}` is missing here"))
            .help(format!("add `{name}:` with its value"))
    }
}

/// Reads whole numbers as digits, each type within its own range.
macro_rules! whole_numbers {
    ($($method:ident $visit:ident $number:ty),* $(,)?) => {$(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
            let text = self.text(&"a whole number")?;
            match text.parse::<$number>() {
                Ok(number) => self.here(visitor.$visit(number)),
                Err(fault) => {
                    let most = (*fault.kind() == IntErrorKind::PosOverflow).then_some(<$number>::MAX);
                    self.refuse(&whole_number(text, <$number>::MIN == 0, most))
                }
            }
        }
    )*};
}

impl<'de> Deserializer<'de> for Reader<'_> {
    type Error = Refusal;

    whole_numbers! {
        deserialize_i8 visit_i8 i8,
        deserialize_i16 visit_i16 i16,
        deserialize_i32 visit_i32 i32,
        deserialize_i64 visit_i64 i64,
        deserialize_u8 visit_u8 u8,
        deserialize_u16 visit_u16 u16,
        deserialize_u32 visit_u32 u32,
        deserialize_u64 visit_u64 u64,
    }

    /// A scalar goes as its text: no type is ever guessed from it.
    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        match &self.node.kind {
            Kind::Scalar(text) => self.here(visitor.visit_str(text)),
            Kind::Null => self.here(visitor.visit_unit()),
            Kind::Sequence(_) => self.list(visitor),
            Kind::Mapping(_) => self.deserialize_map(visitor),
            Kind::Broken => Err(Refusal::Told),
        }
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        match self.text(&"`yes` or `no`")? {
            "true" | "yes" => self.here(visitor.visit_bool(true)),
            "false" | "no" => self.here(visitor.visit_bool(false)),
            _ => self.refuse(&"`yes` or `no`"),
        }
    }

    fn deserialize_f32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        self.deserialize_f64(visitor)
    }

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        match self.text(&"a number")?.parse::<f64>() {
            Ok(number) if number.is_finite() => self.here(visitor.visit_f64(number)),
            _ => self.refuse(&"a number"),
        }
    }

    fn deserialize_char<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        self.deserialize_str(visitor)
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        let text = self.text(&visitor)?;
        self.here(visitor.visit_str(text))
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        self.deserialize_str(visitor)
    }

    fn deserialize_bytes<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        self.deserialize_str(visitor)
    }

    fn deserialize_byte_buf<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        self.deserialize_str(visitor)
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        match self.node.kind {
            Kind::Null => visitor.visit_none(),
            _ => visitor.visit_some(self),
        }
    }

    fn deserialize_unit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        match self.node.kind {
            Kind::Null => self.here(visitor.visit_unit()),
            _ => self.refuse(&"nothing"),
        }
    }

    fn deserialize_unit_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        visitor: V,
    ) -> Result<V::Value, Refusal> {
        self.deserialize_unit(visitor)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        visitor: V,
    ) -> Result<V::Value, Refusal> {
        self.here(visitor.visit_newtype_struct(self))
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        self.list(visitor)
    }

    fn deserialize_tuple<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Refusal> {
        match &self.node.kind {
            Kind::Sequence(nodes) if nodes.len() == length => self.list(visitor),
            Kind::Sequence(nodes) => {
                let found = format!("a list of {}", nodes.len());
                self.here(Err(Refusal::expected(
                    &format!("a list of {length}"),
                    &found,
                )))
            }
            _ => self.refuse(&format!("a list of {length}")),
        }
    }

    fn deserialize_tuple_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Refusal> {
        if name == SAID {
            visitor.visit_seq(SaidParts::new(self))
        } else {
            self.deserialize_tuple(length, visitor)
        }
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        let entries = match &self.node.kind {
            Kind::Mapping(entries) => entries.iter().collect(),
            Kind::Null | Kind::Broken => Vec::new(),
            _ => return self.refuse(&"a mapping"),
        };
        self.here(visitor.visit_map(Fields::new(self, entries, Vec::new(), self.node)))
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        known: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Refusal> {
        match &self.node.kind {
            Kind::Mapping(entries) => self.fields(entries, known, visitor),
            _ => self.refuse(&format!(
                "a mapping with keys such as {}",
                known
                    .iter()
                    .take(4)
                    .map(|key| format!("`{key}`"))
                    .collect::<Vec<_>>()
                    .join(", ")
            )),
        }
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        known: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Refusal> {
        let choice = match &self.node.kind {
            Kind::Scalar(_) => Choice {
                name: self,
                value: None,
            },
            Kind::Mapping(entries) => match entries.as_slice() {
                [(name, value)] => Choice {
                    name: self.of(name),
                    value: Some(self.of(value)),
                },
                _ => return self.refuse(&one_of(known)),
            },
            _ => return self.refuse(&one_of(known)),
        };
        self.here(visitor.visit_enum(choice))
    }

    /// Nothing is asked of what is skipped.
    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refusal> {
        visitor.visit_unit()
    }
}

/// What was wanted where a text is no whole number of its type: no bound is told that has nothing to do with the fault.
fn whole_number(text: &str, is_unsigned: bool, most: Option<impl Display>) -> String {
    match most {
        Some(most) => format!("a whole number up to {most}"),
        None if is_unsigned && text.starts_with('-') => "a whole number, zero or more".to_owned(),
        None => "a whole number".to_owned(),
    }
}

fn one_of(known: &[&str]) -> String {
    format!("one of {}", known.join(", "))
}
