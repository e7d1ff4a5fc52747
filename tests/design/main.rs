//! A building typed in, told at the keyboard: from nothing to the first reading, changed, checked as
//! it grows, taken back act by act.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../common/desk.rs"]
mod desk;
#[path = "../common/screen.rs"]
mod screen;

mod changed;
mod checked;
mod typed_in;
mod undo;

use desk::{Desk, DiskIs, demo, hall, json_of};
use linewright::session::{Event, Key};
use linewright::site::{Design, Do, NodeIs, NodePlan, Ref, Site};
use linewright::storage::format1;
use screen::panel;

fn line<'a>(desk: &'a Desk, label: &str) -> &'a linewright::site::LinePlan {
    let plan = desk.session.site().plan();
    &plan.lines[plan
        .line_labelled(label)
        .unwrap_or_else(|| panic!("no line {label}"))]
}

/// Nodes as `label tap run from`, in cable order.
fn nodes(desk: &Desk, label: &str) -> Vec<String> {
    let line = line(desk, label);
    let words = |node: &NodePlan| {
        let tap = node
            .tap()
            .map_or(String::new(), |tap| format!(" {}W", tap.get()));
        let run = node
            .run
            .map_or(" ?".to_owned(), |run| format!(" {}m", run.get()));
        let from = node.from.map_or("rack", |at| line.nodes[at].label.as_str());
        format!("{}{tap}{run} {from}", node.label)
    };
    line.nodes.iter().map(words).collect()
}

/// `e` on the row that stands so many under the first; its words begin so.
#[track_caller]
fn change_row(desk: &mut Desk, at: usize, begins: &str) {
    desk.press(Key::Home);
    for _ in 0..at {
        desk.press(Key::Down);
    }
    desk.keys("e");
    let text = desk.typed().unwrap();
    assert!(text.starts_with(begins), "{text}");
}

fn act(desk: &mut Desk, keys: &str) {
    for key in keys.chars() {
        match key {
            'D' => {
                desk.press(Key::Delete);
                desk.keys("nobody knows\n");
            }
            key => {
                desk.keys(&key.to_string());
            }
        }
    }
}
