//! A picture as SVG: the same strokes, a cell so many units wide and high.

use super::super::document::Picture;
use super::super::picture::{BAR_HIGH, BAR_TOP, BASELINE, Primitive, is_sign};
use crate::quantity::show::harmless;
use maud::{Markup, html};

/// Width and height of a cell.
const CELL: (f64, f64) = (7.0, 15.0);

/// So many pixels a unit at most: what is narrow is not blown up.
const WIDEST: f64 = 1.1;

/// Two decimals are a hundredth of a unit: enough for any eye, and the same on every machine.
fn unit(it: f64) -> String {
    let text = format!("{it:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The picture as an element with its title.
pub(super) fn svg(picture: &Picture) -> Markup {
    let (w, h) = CELL;
    let (width, height) = (picture.columns as f64 * w, picture.rows as f64 * h);
    html! {
        svg viewBox=(format!("0 0 {} {}", unit(width), unit(height))) role="img"
            style=(format!("max-width:{}px", unit(width * WIDEST)))
            xmlns="http://www.w3.org/2000/svg" {
            title { (harmless(&picture.title)) }
            @for primitive in &picture.primitives {
                @match primitive {
                    Primitive::Box { x, y, w: wide, h: high } => {
                        rect x=(unit(x * w)) y=(unit((y + BAR_TOP) * h)) width=(unit(wide * w))
                            height=(unit(high * h * BAR_HIGH)) {}
                    }
                    Primitive::Line { from, to } => {
                        line x1=(unit((from.0 + 0.5) * w)) y1=(unit((from.1 + 0.5) * h))
                            x2=(unit((to.0 + 0.5) * w)) y2=(unit((to.1 + 0.5) * h)) {}
                    }
                    Primitive::Text { at, text } => {
                        @if is_sign(text) {
                            text.sign x=(unit((at.0 + 0.5) * w)) y=(unit((at.1 + BASELINE) * h)) { (text) }
                        } @else {
                            text x=(unit(at.0 * w)) y=(unit((at.1 + BASELINE) * h)) { (harmless(text)) }
                        }
                    }
                }
            }
        }
    }
}
