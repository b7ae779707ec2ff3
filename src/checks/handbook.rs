//! Everything that can be explained.

use crate::emissions;
use crate::responses;
use crate::topic::Topic;

/// Every chapter: how lines arise, how receivers hear, what checks judge.
pub fn topics() -> Vec<Topic> {
    let emissions = emissions::ALL.iter().map(|kind| kind.topic);
    let responses = responses::ALL.iter().map(|kind| kind.topic);
    let checks = super::every().map(|check| check.topic);
    emissions.chain(responses).chain(checks).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_chapter_has_an_id_of_its_own() {
        let topics = topics();
        let ids: BTreeSet<&str> = topics.iter().map(|topic| topic.id).collect();
        assert_eq!(ids.len(), topics.len());
        assert!(ids.contains("harmonic") && ids.contains("image"));
    }
}
