//! Turns an event of the terminal into one of the session.

use crate::session::Key;
use crossterm::event::{Event, KeyCode, KeyEventKind, KeyModifiers};

/// What the terminal sent, in the session's words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Input {
    /// A key.
    Key(Key),
    /// Text pasted in one go.
    Paste(String),
    /// The size changed: columns, rows.
    Resize(u16, u16),
    /// Ctrl-C: leave.
    Break,
    /// Ctrl-Z: sleep until the shell wakes us.
    Sleep,
    /// Ctrl-L: paint all anew.
    Repaint,
}

/// Reads an event; none for what means nothing here (a key let go, the mouse).
#[must_use]
pub fn input(event: &Event) -> Option<Input> {
    let key = match event {
        Event::Key(key) if key.kind != KeyEventKind::Release => key,
        Event::Paste(text) => return Some(Input::Paste(text.clone())),
        Event::Resize(columns, rows) => return Some(Input::Resize(*columns, *rows)),
        _ => return None,
    };
    if key.modifiers.contains(KeyModifiers::CONTROL) {
        return match key.code {
            KeyCode::Char('c') => Some(Input::Break),
            KeyCode::Char('z') => Some(Input::Sleep),
            KeyCode::Char('l') => Some(Input::Repaint),
            KeyCode::Char('u') => Some(Input::Key(Key::Clear)),
            _ => None,
        };
    }
    if key.modifiers.contains(KeyModifiers::ALT) {
        return None;
    }
    Some(Input::Key(match key.code {
        KeyCode::Char(c) => Key::Char(c),
        KeyCode::Enter => Key::Enter,
        KeyCode::Esc => Key::Esc,
        KeyCode::Tab => Key::Tab,
        KeyCode::BackTab => Key::BackTab,
        KeyCode::Backspace => Key::Backspace,
        KeyCode::Delete => Key::Delete,
        KeyCode::Up => Key::Up,
        KeyCode::Down => Key::Down,
        KeyCode::Left => Key::Left,
        KeyCode::Right => Key::Right,
        KeyCode::Home => Key::Home,
        KeyCode::End => Key::End,
        KeyCode::PageUp => Key::PageUp,
        KeyCode::PageDown => Key::PageDown,
        KeyCode::F(1) => Key::F1,
        _ => return None,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crossterm::event::{KeyEvent, KeyEventState};

    fn key(code: KeyCode, kind: KeyEventKind) -> Event {
        Event::Key(KeyEvent {
            code,
            modifiers: KeyModifiers::NONE,
            kind,
            state: KeyEventState::NONE,
        })
    }

    #[test]
    fn a_key_counts_when_pressed_or_held_and_not_when_let_go() {
        let four = KeyCode::Char('4');
        assert_eq!(
            input(&key(four, KeyEventKind::Press)),
            Some(Input::Key(Key::Char('4')))
        );
        assert_eq!(
            input(&key(four, KeyEventKind::Repeat)),
            Some(Input::Key(Key::Char('4')))
        );
        assert_eq!(input(&key(four, KeyEventKind::Release)), None);
    }
}
