//! How much may be asked of what is shared with other machines.

use std::time::Instant;

use super::guard::{Entry, Refusal};

/// Wrong secrets that are looked at. After so many the link admits nobody new; phones that are in
/// stay in. A secret has 128 bits, so nobody finds it in so few.
const WRONG_MAX: u32 = 20;
/// Questions at once, and how many more each second: a dozen phones keep a throw every few seconds.
const AT_ONCE: f64 = 40.0;
const EACH_SECOND: f64 = 4.0;

/// What was asked so far.
#[derive(Debug)]
pub struct Limit {
    wrong: u32,
    left: f64,
    at: Instant,
}

impl Limit {
    /// Nothing yet.
    pub fn new(now: Instant) -> Self {
        Self { wrong: 0, left: AT_ONCE, at: now }
    }

    /// Counts a request that the guard has looked at; says why it is refused, if it is. `asks` is a
    /// question, which is more work than a part of the page.
    pub fn too_much(
        &mut self,
        checked: Result<Entry, Refusal>,
        asks: bool,
        now: Instant,
    ) -> Option<&'static str> {
        match checked {
            Ok(Entry::Cookie) => {}
            Ok(Entry::Address) if self.wrong < WRONG_MAX => {}
            Err(Refusal::Stranger) if self.wrong < WRONG_MAX => {
                self.wrong += 1;
                return None;
            }
            Ok(Entry::Address) | Err(Refusal::Stranger) => {
                return Some("too many wrong addresses were tried: share the form anew");
            }
            Err(_) => return None,
        }
        if asks {
            let since = now.saturating_duration_since(self.at).as_secs_f64();
            self.left = (self.left + since * EACH_SECOND).min(AT_ONCE);
            self.at = now;
            if self.left < 1.0 {
                return Some("too much is asked at once: wait a moment");
            }
            self.left -= 1.0;
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    #[test]
    fn wrong_secrets_close_the_link_and_not_the_form() {
        let now = Instant::now();
        let mut limit = Limit::new(now);
        for _ in 0..WRONG_MAX {
            assert_eq!(limit.too_much(Ok(Entry::Address), false, now), None);
            assert_eq!(limit.too_much(Err(Refusal::Stranger), false, now), None);
        }
        assert!(limit.too_much(Err(Refusal::Stranger), false, now).is_some());
        assert!(limit.too_much(Ok(Entry::Address), false, now).is_some(), "not even the right one");
        assert_eq!(limit.too_much(Ok(Entry::Cookie), true, now), None);
    }

    #[test]
    fn questions_come_at_a_bounded_rate() {
        let now = Instant::now();
        let mut limit = Limit::new(now);
        let mut answered = |at| {
            (0..1000).filter(|_| limit.too_much(Ok(Entry::Cookie), true, at).is_none()).count()
        };
        assert_eq!(answered(now), 40);
        assert_eq!(answered(now + Duration::from_secs(1)), 4);
        assert_eq!(answered(now + Duration::from_secs(3600)), 40);
        assert_eq!(
            limit.too_much(Ok(Entry::Cookie), false, now),
            None,
            "parts of the page are not counted"
        );
    }
}
