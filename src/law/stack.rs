//! Packs stacked: whose rules bind, which licence is held, what other services there are.

use std::sync::Arc;

use super::entry::Entry;
use super::pack::{Kind, Licence, Pack};
use super::packs::built_in;
use super::permission::Permission;
use super::read::LawError;
use super::service::{Protected, Service};
use crate::provenance::Sourced;
use crate::quantity::{Emission, Frequency, Span};

/// Whether a pack binds, or is a neighbour's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// Its rules bind.
    Binding,
    /// It holds across a border: its band plan and its services are to be looked at, its licence does not bind.
    Neighbour,
}

/// One pack of a stack.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// The pack.
    pub pack: Arc<Pack>,
    /// Whether it binds.
    pub role: Role,
}

/// The rules that apply to a plan: packs stacked, and the licence held.
#[derive(Debug, Clone, Default)]
pub struct Law {
    layers: Vec<Layer>,
    licence: Option<String>,
    protected: Vec<Protected>,
}

impl Law {
    /// Stacks packs, each followed by its companions that are not there yet; `licence` is the class held.
    ///
    /// # Errors
    /// A companion that no built-in pack has, or a licence that no pack knows.
    pub fn stack(
        packs: impl IntoIterator<Item = (Arc<Pack>, Role)>,
        licence: Option<&str>,
    ) -> Result<Self, LawError> {
        let mut law = Self::default();
        let packs: Vec<_> = packs.into_iter().collect();
        for (pack, role) in &packs {
            law.add(Arc::clone(pack), *role);
        }
        for (pack, role) in &packs {
            for name in &pack.companions {
                law.add(built_in_named(name)?, *role);
            }
        }
        if let Some(name) = licence {
            law.hold(name)?;
        }
        Ok(law)
    }

    /// Stacks built-in packs by name.
    ///
    /// # Errors
    /// A name that no built-in pack has, or a licence that no pack knows.
    pub fn named(names: &[&str], licence: Option<&str>) -> Result<Self, LawError> {
        let packs = names
            .iter()
            .map(|name| Ok((built_in_named(name)?, Role::Binding)))
            .collect::<Result<Vec<_>, LawError>>()?;
        Self::stack(packs, licence)
    }

    fn add(&mut self, pack: Arc<Pack>, role: Role) {
        if let Some(layer) = self
            .layers
            .iter_mut()
            .find(|layer| layer.pack.id == pack.id)
        {
            // A pack that binds and is a neighbour's too binds.
            layer.role = layer.role.min(role);
            return;
        }
        self.protected.extend(pack.protected.iter().cloned());
        self.layers.push(Layer { pack, role });
    }

    fn hold(&mut self, name: &str) -> Result<(), LawError> {
        let known: Vec<&str> = self
            .binding()
            .flat_map(|pack| &pack.licences)
            .map(|licence| licence.id.as_str())
            .collect();
        if !known.contains(&name) {
            return Err(LawError::UnknownLicence {
                name: name.to_owned(),
                packs: self.names().join(", "),
                known: if known.is_empty() {
                    "none".to_owned()
                } else {
                    known.join(", ")
                },
            });
        }
        self.licence = Some(name.to_owned());
        Ok(())
    }

    /// The packs, in the order they were stacked.
    pub fn layers(&self) -> &[Layer] {
        &self.layers
    }

    /// The names of the packs.
    pub fn names(&self) -> Vec<String> {
        self.layers
            .iter()
            .map(|layer| layer.pack.id.to_string())
            .collect()
    }

    /// The packs whose rules bind.
    pub(super) fn binding(&self) -> impl Iterator<Item = &Arc<Pack>> {
        self.layers
            .iter()
            .filter(|layer| layer.role == Role::Binding)
            .map(|layer| &layer.pack)
    }

    /// Whether any of the packs is a licence or a law that binds.
    pub fn has_law(&self) -> bool {
        self.laws().next().is_some()
    }

    /// The packs whose licence binds.
    pub(super) fn laws(&self) -> impl Iterator<Item = &Arc<Pack>> {
        self.binding().filter(|pack| pack.kind == Kind::Law)
    }

    /// The licence class that a pack judges by: the one held, or its least one when that is not its own.
    pub fn licence_in<'p>(&self, pack: &'p Pack) -> Option<&'p Licence> {
        pack.licences
            .iter()
            .find(|licence| Some(&licence.id) == self.licence.as_ref())
            .or_else(|| pack.licences.first())
    }

    /// Services that are protected wherever the event is.
    pub fn protected(&self) -> &[Protected] {
        &self.protected
    }

    /// Every kind of service, stacked packs first, then built-in ones.
    pub fn services(&self) -> impl Iterator<Item = &Service> {
        self.layers
            .iter()
            .map(|layer| &layer.pack)
            .chain(built_in())
            .flat_map(|pack| &pack.services)
    }

    /// The kind of service with this id.
    pub fn service(&self, id: &str) -> Option<&Service> {
        self.services().find(|service| service.id == id)
    }

    /// The emission taken where a scenario states none.
    pub fn usual_emission(&self) -> Option<&Sourced<Emission>> {
        self.binding().find_map(|pack| pack.usual_emission.as_ref())
    }

    /// Ids of the exposure limits that the stacked packs name, each once; empty for every limit that is known, which is so
    /// where a law that binds names none: nobody is to be less protected for another pack beside it.
    pub fn exposure_limits(&self) -> Vec<&str> {
        let mut ids: Vec<&str> = Vec::new();
        if self.laws().any(|pack| pack.exposure_limits.is_none()) {
            return ids;
        }
        for limits in self
            .binding()
            .filter_map(|pack| pack.exposure_limits.as_ref())
        {
            for id in limits.apply.iter().map(String::as_str) {
                if !ids.contains(&id) {
                    ids.push(id);
                }
            }
        }
        ids
    }

    /// The permissions held.
    pub fn permissions(&self) -> impl Iterator<Item = &Permission> {
        self.binding().flat_map(|pack| &pack.permissions)
    }

    /// Rules that a permission names and no stacked pack has: a slip of the pen, or a pack that is missing.
    pub fn unknown_lifts(&self) -> Vec<(&Permission, &str)> {
        let is_known = |name: &str| {
            self.layers.iter().any(|layer| {
                let pack = layer.pack.as_ref();
                name.strip_prefix(pack.id.as_ref())
                    .and_then(|rest| rest.strip_prefix('/'))
                    .is_some_and(|rule| {
                        (rule == "bands" && !pack.bands.is_empty())
                            || pack.entries().iter().any(|entry| entry.id == rule)
                    })
            })
        };
        self.permissions()
            .flat_map(|permission| {
                let names = permission.lifts.iter();
                names.map(move |name| (permission, name.as_str()))
            })
            .filter(|(_, name)| !is_known(name))
            .collect()
    }

    /// Where the stacked packs say that a band lies: the parts that every licence opens, or else what a plan says.
    pub fn band(&self, name: &str) -> Vec<Span> {
        let of = |pack: &Arc<Pack>| -> Vec<Span> {
            let licence = self.licence_in(pack).map(|licence| &licence.id);
            pack.bands
                .iter()
                .filter(|band| band.name == name)
                .filter(|band| {
                    band.licences.is_empty() || licence.is_some_and(|id| band.licences.contains(id))
                })
                .map(|band| band.span)
                .collect()
        };
        let mut laws = self.laws().filter(|pack| !pack.bands.is_empty());
        match laws.next() {
            Some(first) => laws.fold(of(first), |spans, pack| meet(&spans, &of(pack))),
            None => self
                .binding()
                .map(of)
                .find(|spans| !spans.is_empty())
                .unwrap_or_default(),
        }
    }

    /// The trade names of every band a stacked pack knows, each once, lowest first.
    pub fn band_names(&self) -> Vec<&str> {
        let mut bands: Vec<(Frequency, &str)> = self
            .binding()
            .flat_map(|pack| &pack.bands)
            .map(|band| (band.span.low, band.name.as_str()))
            .collect();
        bands.sort_unstable();
        bands.dedup_by_key(|(_, name)| *name);
        let mut names: Vec<&str> = Vec::new();
        for (_, name) in bands {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        names
    }

    /// What applies at a frequency for the licence held: each pack with its entries that speak of it, and its rules that
    /// hold everywhere.
    pub fn applies_at(&self, frequency: Frequency) -> Vec<(&Pack, Entry)> {
        self.layers
            .iter()
            .flat_map(|layer| {
                let pack = layer.pack.as_ref();
                let licence = self.licence_in(pack).map(|licence| licence.id.clone());
                pack.entries()
                    .into_iter()
                    .filter(move |entry| {
                        let is_rule = || pack.rules.iter().any(|rule| rule.id == entry.id);
                        (entry.spans.iter().any(|span| span.contains(frequency))
                            || (entry.spans.is_empty() && is_rule()))
                            && (entry.licences.is_empty()
                                || licence
                                    .as_ref()
                                    .is_some_and(|id| entry.licences.contains(id)))
                    })
                    .map(move |entry| (pack, entry))
            })
            .collect()
    }
}

/// The built-in pack of this name.
fn built_in_named(name: &str) -> Result<Arc<Pack>, LawError> {
    built_in()
        .iter()
        .find(|pack| pack.id.as_ref() == name)
        .cloned()
        .ok_or_else(|| LawError::UnknownPack {
            name: name.to_owned(),
            known: built_in()
                .iter()
                .map(|pack| pack.id.as_ref())
                .collect::<Vec<_>>()
                .join(", "),
        })
}

/// The stretches that lie in both lists.
pub(super) fn meet(one: &[Span], other: &[Span]) -> Vec<Span> {
    let mut both: Vec<Span> = one
        .iter()
        .flat_map(|a| other.iter().map(move |b| (a, b)))
        .filter(|(a, b)| a.overlaps(**b))
        .map(|(a, b)| Span::between(a.low.max(b.low), a.high.min(b.high)))
        .collect();
    both.sort_unstable();
    both
}
