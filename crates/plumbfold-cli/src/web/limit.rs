//! How much may be asked of what is shared with other machines, by each address for itself: nobody in
//! the hall can shut the others out.

use std::collections::HashMap;
use std::net::IpAddr;
use std::time::Instant;

use super::guard::{Entry, Refusal};

/// Wrong secrets of one address that are looked at, and how many more each second. A secret has 128
/// bits, so nobody finds it in so few, from however many addresses.
const WRONG: Allowance = Allowance { at_once: 20.0, each_second: 0.1 };
/// Questions of one address at once, and how many more each second: a phone keeps a throw every few
/// seconds, and several may come through one address.
const ASKED: Allowance = Allowance { at_once: 40.0, each_second: 4.0 };
/// Addresses that are kept in mind. Whoever has more of them is forgotten longest unheard first.
const ADDRESSES_MAX: usize = 1000;

/// What is allowed at once, and how it comes back.
struct Allowance {
    at_once: f64,
    each_second: f64,
}

/// What is left of an allowance.
#[derive(Clone, Copy, Debug)]
struct Left(f64);

impl Left {
    fn taken(&mut self) -> bool {
        let enough = self.0 >= 1.0;
        self.0 -= f64::from(u8::from(enough));
        enough
    }

    fn come_back(&mut self, allowance: &Allowance, seconds: f64) {
        self.0 = (self.0 + seconds * allowance.each_second).min(allowance.at_once);
    }
}

/// What one address asked so far.
#[derive(Debug)]
struct Asked {
    wrong: Left,
    questions: Left,
    at: Instant,
}

/// What everybody asked so far.
#[derive(Debug, Default)]
pub struct Limit(HashMap<IpAddr, Asked>);

impl Limit {
    /// Counts a request from an address that the guard has looked at; says why it is refused, if it is.
    /// `asks` is a question, which is more work than a part of the page.
    pub fn too_much(
        &mut self,
        from: IpAddr,
        checked: Result<Entry, Refusal>,
        asks: bool,
        now: Instant,
    ) -> Option<&'static str> {
        let asked = self.asked(network(from), now);
        match checked {
            Ok(Entry::Cookie) => {}
            // The right secret after too many wrong ones is not even looked at.
            Ok(Entry::Address) if asked.wrong.0 >= 1.0 => {}
            Err(Refusal::Stranger) if asked.wrong.taken() => return None,
            Ok(Entry::Address) | Err(Refusal::Stranger) => {
                return Some("too many wrong addresses were tried from here: wait a minute");
            }
            Err(_) => return None,
        }
        let refused = asks && !asked.questions.taken();
        refused.then_some("too much is asked at once: wait a moment")
    }

    fn asked(&mut self, from: IpAddr, now: Instant) -> &mut Asked {
        if self.0.len() >= ADDRESSES_MAX && !self.0.contains_key(&from) {
            let oldest = self.0.iter().min_by_key(|(_, asked)| asked.at).map(|(ip, _)| *ip);
            oldest.and_then(|ip| self.0.remove(&ip));
        }
        let (wrong, questions) = (Left(WRONG.at_once), Left(ASKED.at_once));
        let asked = self.0.entry(from).or_insert(Asked { wrong, questions, at: now });
        let seconds = now.saturating_duration_since(asked.at).as_secs_f64();
        asked.wrong.come_back(&WRONG, seconds);
        asked.questions.come_back(&ASKED, seconds);
        asked.at = now;
        asked
    }
}

/// One machine has as many IPv6 addresses as it likes within its network (RFC 4291: the first 64 bits).
fn network(from: IpAddr) -> IpAddr {
    match from.to_canonical() {
        IpAddr::V6(ip) => IpAddr::V6((u128::from(ip) >> 64 << 64).into()),
        v4 => v4,
    }
}

#[cfg(test)]
mod tests {
    use std::net::{Ipv4Addr, Ipv6Addr};
    use std::time::Duration;

    use super::*;

    const HERE: IpAddr = IpAddr::V4(Ipv4Addr::new(192, 168, 0, 7));
    const THERE: IpAddr = IpAddr::V4(Ipv4Addr::new(192, 168, 0, 8));
    const WRONG_SECRET: Result<Entry, Refusal> = Err(Refusal::Stranger);

    #[test]
    fn wrong_secrets_shut_out_who_tried_them_and_nobody_else() {
        let now = Instant::now();
        let mut limit = Limit::default();
        for _ in 0..20 {
            assert_eq!(limit.too_much(HERE, Ok(Entry::Address), false, now), None);
            assert_eq!(limit.too_much(HERE, WRONG_SECRET, false, now), None);
        }
        assert!(limit.too_much(HERE, WRONG_SECRET, false, now).is_some());
        let right = limit.too_much(HERE, Ok(Entry::Address), false, now);
        assert!(right.is_some(), "not even the right one");
        assert_eq!(limit.too_much(HERE, Ok(Entry::Cookie), true, now), None);
        assert_eq!(limit.too_much(THERE, Ok(Entry::Address), false, now), None);
        // Six a minute come back: a mistyped address is no end.
        let later = now + Duration::from_secs(60);
        assert_eq!(limit.too_much(HERE, Ok(Entry::Address), false, later), None);
        let looked_at = |_: &usize| limit.too_much(HERE, WRONG_SECRET, false, later).is_none();
        assert_eq!((0..100).filter(looked_at).count(), 6);
    }

    #[test]
    fn a_machine_with_many_addresses_is_one_and_what_is_kept_in_mind_is_bounded() {
        let now = Instant::now();
        let mut limit = Limit::default();
        let own = |k: u16| IpAddr::V6(Ipv6Addr::new(0xfd00, 0, 0, 1, 0, 0, 0, k));
        let looked_at = |k: &u16| limit.too_much(own(*k), WRONG_SECRET, false, now).is_none();
        assert_eq!((0..100).filter(looked_at).count(), 20);
        for k in 0..3000u32 {
            let from = IpAddr::V4(Ipv4Addr::from(0x0a00_0000 + k));
            limit.too_much(from, WRONG_SECRET, false, now + Duration::from_secs(1));
        }
        assert_eq!(limit.0.len(), ADDRESSES_MAX);
    }

    #[test]
    fn questions_of_one_address_come_at_a_bounded_rate() {
        let now = Instant::now();
        let mut limit = Limit::default();
        let mut answered = |from, at| {
            let one = |_: &usize| limit.too_much(from, Ok(Entry::Cookie), true, at).is_none();
            (0..1000).filter(one).count()
        };
        assert_eq!(answered(HERE, now), 40);
        assert_eq!(answered(THERE, now), 40);
        assert_eq!(answered(HERE, now + Duration::from_secs(1)), 4);
        assert_eq!(answered(HERE, now + Duration::from_secs(3600)), 40);
        let part = limit.too_much(HERE, Ok(Entry::Cookie), false, now);
        assert_eq!(part, None, "parts of the page are not counted");
    }
}
