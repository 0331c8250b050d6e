//! Answers kept by all that they follow from, so that the same is not worked out twice.

use std::collections::HashMap;
use std::hash::Hash;
use std::sync::Mutex;

/// Answers by their question.
#[derive(Debug)]
pub struct Kept<K, V>(Mutex<HashMap<K, V>>);

/// More answers are not kept: a job asks some hundreds, and whoever tries decisions for hours shall not fill the memory.
const MOST: usize = 2000;

impl<K, V> Default for Kept<K, V> {
    fn default() -> Self {
        Self(Mutex::new(HashMap::new()))
    }
}

impl<K: Eq + Hash, V: Clone> Kept<K, V> {
    /// The answer, worked out where it is not known. Two who ask at once may both work it out: it comes out the same.
    pub fn get(&self, key: K, work: impl FnOnce() -> V) -> V {
        self.find(&key).unwrap_or_else(|| {
            let value = work();
            self.keep(key, value.clone());
            value
        })
    }

    /// What is known.
    pub fn find(&self, key: &K) -> Option<V> {
        self.0.lock().ok().and_then(|known| known.get(key).cloned())
    }

    /// Keeps an answer; where there are too many, the others go.
    pub fn keep(&self, key: K, value: V) {
        if let Ok(mut known) = self.0.lock() {
            if known.len() >= MOST {
                known.clear();
            }
            known.insert(key, value);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_known_is_not_worked_out_again_and_the_memory_ends() {
        let kept = Kept::default();
        let mut worked = 0;
        for _ in 0..2 {
            assert_eq!(
                kept.get(1, || {
                    worked += 1;
                    10
                }),
                10
            );
        }
        assert_eq!(worked, 1);
        for i in 0..5000 {
            kept.keep(i, i);
        }
        assert!(kept.0.lock().unwrap().len() <= MOST);
        assert_eq!(kept.find(&4999), Some(4999));
    }
}
