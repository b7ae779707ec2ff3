//! The rule packs, asked as a planner would ask them.
#[test]
fn every_built_in_pack_can_be_read() {
    for (name, text) in quietpair::law::ALL {
        match quietpair::law::read(&format!("{name}.yaml"), text.as_bytes()) {
            Ok(pack) => assert_eq!(&*pack.id, *name),
            Err(error) => panic!("{error}"),
        }
    }
}
