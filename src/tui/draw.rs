//! Paints a view into the terminal's buffer: frames and styles; no figure is made here.

use super::theme::Theme;
use crate::session::view::{Line, View};
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::{Modifier, Style};

/// Smallest screen that the tree and the panel make sense on.
const LEAST: (u16, u16) = (40, 10);

/// Paints a view; says where the caret stands.
pub fn draw(view: &View, theme: Theme, area: Rect, buffer: &mut Buffer) -> Option<Position> {
    if area.is_empty() {
        return None;
    }
    if area.width < LEAST.0 || area.height < LEAST.1 {
        let words = format!("at least {} x {} wanted", LEAST.0, LEAST.1);
        buffer.set_stringn(area.x, area.y, words, area.width.into(), Style::default());
        return None;
    }
    let last = area.bottom() - 1;
    let (upper, lower) = (area.y + 1, last - 3);
    paint(&view.header, theme, (area.x, area.y), area.width, buffer);
    let walls = walls(view);
    for (y, tee) in [(upper, '\u{252c}'), (lower, '\u{2534}')] {
        for x in area.x..area.right() {
            let at_wall = walls.contains(&(x - area.x));
            let glyph = match (view.ascii, at_wall) {
                (true, true) => '+',
                (true, false) => '-',
                (false, true) => tee,
                (false, false) => '\u{2500}',
            };
            buffer[(x, y)].set_char(glyph);
        }
    }
    // The words of the tree's columns stand in the rule above it, where they take no row.
    for (x, c) in (area.x..area.right()).zip(view.heads.chars()) {
        if c != ' ' {
            buffer[(x, upper)].set_char(c);
        }
    }
    for y in upper + 1..lower {
        let row = usize::from(y - upper - 1);
        if let Some(line) = view.tree.get(row) {
            let cells = u16::try_from(view.tree_width).unwrap_or(area.width);
            paint(&line.line, theme, (area.x, y), cells, buffer);
            if line.cursor {
                reverse(area.x, y, cells, buffer);
            }
        }
        for wall in &walls {
            buffer[(area.x + wall, y)].set_char(if view.ascii { '|' } else { '\u{2502}' });
        }
        for (at, column) in view.panel.iter().enumerate() {
            if let Some(line) = column.get(row) {
                let x = walls.get(at).map_or(0, |wall| wall + 1);
                let cells = u16::try_from(view.panel_width).unwrap_or(area.width);
                let cells = cells.min(area.width.saturating_sub(x));
                paint(line, theme, (area.x + x, y), cells, buffer);
            }
        }
    }
    if let Some(above) = &view.above {
        for x in area.x..area.right() {
            buffer[(x, lower)].set_char(' ');
        }
        paint(above, theme, (area.x, lower), area.width, buffer);
    }
    paint(&view.message, theme, (area.x, last - 2), area.width, buffer);
    paint(&view.entry, theme, (area.x, last - 1), area.width, buffer);
    paint(&view.footer, theme, (area.x, last), area.width, buffer);
    let caret = u16::try_from(view.caret?).ok()?.min(area.width - 1);
    Some(Position::new(area.x + caret, last - 1))
}

/// Columns of the upright lines between tree and panel columns.
fn walls(view: &View) -> Vec<u16> {
    if view.tree_width == 0 {
        return Vec::new();
    }
    (0..view.panel.len())
        .filter_map(|at| u16::try_from(view.tree_width + at * (view.panel_width + 1)).ok())
        .collect()
}

fn paint(line: &Line, theme: Theme, (x, y): (u16, u16), cells: u16, buffer: &mut Buffer) {
    let mut at = x;
    let end = x.saturating_add(cells).min(buffer.area.right());
    for span in &line.0 {
        let room = usize::from(end.saturating_sub(at));
        let (next, _) = buffer.set_stringn(at, y, &span.text, room, theme.style(span.tone));
        at = next;
    }
}

/// The cursor's row: reversed, save what is painted anyway.
fn reverse(x: u16, y: u16, cells: u16, buffer: &mut Buffer) {
    for column in x..x.saturating_add(cells).min(buffer.area.right()) {
        let cell = &mut buffer[(column, y)];
        if cell
            .style()
            .bg
            .is_none_or(|bg| bg == ratatui::style::Color::Reset)
        {
            let style = cell.style().add_modifier(Modifier::REVERSED);
            cell.set_style(style);
        }
    }
}
