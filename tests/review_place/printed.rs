//! The record written from the review.

use super::*;

#[test]
fn the_record_is_written_from_the_review_and_a_file_that_is_there_is_another_name() {
    // Before: the review; P asks for a file, named by building and day.
    let mut desk = reviewing();
    desk.keys("P");
    let name = "Old-seed-hall-2026-11-25.pdf";
    let prompt = format!("write to> {name}");
    assert!(desk.screen().contains(&prompt), "{}", desk.screen());
    // Esc: nothing is written.
    desk.press(Key::Esc);
    assert!(desk.prints.is_empty());
    desk.keys("P\n");
    assert!(
        desk.message().starts_with(&format!("writing {name}")),
        "{}",
        desk.message()
    );
    assert_eq!(desk.prints.len(), 1);
    assert_eq!(desk.prints[0].to, name);
    // The very file that the command writes.
    let site = desk.session.site().clone();
    let data = Assessment::of(&site, &Analyst::at_rest(&site, None), None);
    let wanted = pdf(&record(&data), Paper::A4).unwrap();
    assert!(desk.prints[0].record().unwrap() == wanted);
    // Keys go on while it is written; a second one waits, and leaving says that it would be lost.
    desk.press(Key::Down).press(Key::Up).keys("gp");
    assert!(
        desk.message().starts_with("still writing"),
        "{}",
        desk.message()
    );
    desk.keys("q");
    assert!(desk.message().contains("still being written") && !desk.left);
    // There already: said with its path, and the next name proposed is free.
    let path = format!("/survey/{name}");
    desk.event(Event::Printed(Printed::There(
        path.clone(),
        name.to_owned(),
    )));
    assert!(
        desk.message()
            .contains(&format!("{path} is there and stays as it is"))
    );
    desk.keys("gp");
    assert!(
        desk.screen().contains("Old-seed-hall-2026-11-25-2.pdf"),
        "{}",
        desk.screen()
    );
    desk.press(Key::Enter);
    let path = "/survey/Old-seed-hall-2026-11-25-2.pdf".to_owned();
    desk.event(Event::Printed(Printed::Written(path.clone())));
    assert_eq!(desk.message(), format!("record written: {path}"));
    assert_eq!(desk.prints.len(), 2);
    // Another ending is refused, the words stay.
    desk.keys("P").press(Key::Clear).keys("record.doc\n");
    assert!(
        desk.message()
            .contains("record.doc: .pdf or .html was wanted"),
        "{}",
        desk.message()
    );
    assert_eq!(desk.prints.len(), 2);
    // A page for a browser is the same record.
    desk.press(Key::Clear).keys("record.html\n");
    let page = desk.prints[2].record().unwrap();
    assert!(page.starts_with(b"<!DOCTYPE html>"), "a page");
    assert!(desk.prints[2].copied().is_none());
}

#[test]
fn a_copy_of_the_site_for_a_colleague_is_written_and_says_how_it_comes_back() {
    let mut desk = reviewing();
    desk.keys("gp").press(Key::Clear).keys("for B.ron\n");
    let print = desk.prints.last().unwrap();
    let copied = print.copied().unwrap();
    let (own, copied) = (desk.session.site(), copied);
    assert_eq!((own.id(), own.log()), (copied.id(), copied.log()));
    assert_eq!(own.elements(), copied.elements());
    let path = "/survey/for B.ron".to_owned();
    desk.event(Event::Printed(Printed::Written(path)));
    assert_eq!(
        desk.message(),
        "copy written: /survey/for B.ron. Back here, the next opening offers what was read there"
    );
}

#[test]
fn nothing_that_is_not_on_the_disk_is_printed_and_who_only_looks_may_print() {
    let mut desk = reviewing();
    desk.disk = DiskIs::Slow;
    desk.press(Key::Down)
        .keys("lsaid, N. N., 2026-12-01\n")
        .keys("P\n");
    assert!(
        desk.message().contains("not on the disk yet"),
        "{}",
        desk.message()
    );
    assert!(desk.prints.is_empty());
    desk.answer();
    desk.press(Key::Enter);
    assert_eq!(desk.prints.len(), 1);
    let mut opening = opening("looklooklooklook");
    opening.access = Access::ReadsOnly("engineer B".to_owned());
    let mut desk = Desk::with(evening(), opening, None);
    desk.keys("gp\n");
    assert_eq!(desk.prints.len(), 1);
}
