//! What a record says of signatures.

use super::*;

#[test]
fn a_signed_record_says_who_and_a_broken_one_says_what_changed() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.sign(Ref::Site);
    let text = markdown(&record(&assessed(&pen.site)));
    assert!(text.contains("seal intact") && text.contains("Nothing stands in the way of signing"));
    pen.read("H-1", "340");
    let text = markdown(&record(&assessed(&pen.site)));
    assert!(text.contains("SEAL BROKEN"), "{text}");
    assert!(text.contains("H-1: after the signature"), "{text}");
}

#[test]
fn a_slip_that_was_taken_back_after_the_signature_is_told_and_is_no_broken_seal() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.sign(Ref::Site);
    let slip = pen.read("H-1", "340");
    pen.void(&slip);
    let data = assessed(&pen.site);
    assert!(!data.seals[0].intact && data.seals[0].taken_back);
    let told = [record(&data).foot.clone(), markdown(&record(&data))];
    let [foot, text] = &told;
    assert!(
        foot.ends_with("figures as sealed, changed and taken back since"),
        "{foot}"
    );
    for wanted in [
        "as sealed: changed and taken back after it, see the last chapter",
        "figures as sealed: what was recorded since was taken back again",
        "H-1: after the signature",
    ] {
        assert!(text.contains(wanted), "{wanted}: {text}");
    }
    assert!(!text.contains("BROKEN"), "{text}");
    // In parts: which of them.
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.sign(Ref::Zone("Lobby".into()));
    pen.sign(Ref::Amplifier("A2".into()));
    let slip = pen.read("L-1", "500");
    pen.void(&slip);
    let foot = record(&assessed(&pen.site)).foot;
    assert!(
        foot.ends_with("signed in 2 parts, figures as sealed, changed and taken back since in 1"),
        "{foot}"
    );
}

#[test]
fn what_a_seal_is_for_stands_at_the_foot_of_every_page_where_that_is_a_part() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.sign(Ref::Zone("Lobby".into()));
    let foot = |pen: &Pen| record(&assessed(&pen.site)).foot;
    let of = |foot: String| foot.split_once("; ").unwrap().1.to_owned();
    let one = of(foot(&pen));
    assert!(one.starts_with("signed for zone Lobby 2026-11-25"), "{one}");
    assert!(one.ends_with(", seal intact"), "{one}");
    pen.sign(Ref::Amplifier("A2".into()));
    assert_eq!(of(foot(&pen)), "signed in 2 parts, their seals intact");
    pen.read("L-1", "500");
    assert_eq!(of(foot(&pen)), "signed in 2 parts, 1 SEAL BROKEN");
    // A signature for the whole site is the one that counts.
    pen.accept("L-1", "wanted so");
    pen.sign(Ref::Site);
    assert!(of(foot(&pen)).starts_with("signed 2026-11-25"));
}
