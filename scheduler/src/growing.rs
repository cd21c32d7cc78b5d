//! A list that grows at its end, and of which copies share what they have in common.
//!
//! A room is remembered now and then so that a fact of the last days need not be folded from the beginning: with such lists a
//! copy of it costs the same after ten years as on the first day.

use std::ops::Index;
use std::sync::Arc;

/// So many items are shared as a whole.
const CHUNK: usize = 128;

/// A list that grows at its end.
#[derive(Clone, Debug)]
pub struct Growing<T> {
    /// Whole chunks, never changed.
    chunks: Arc<Vec<Arc<Vec<T>>>>,
    /// The rest: empty only where the whole list is.
    tail: Vec<T>,
}

impl<T> Default for Growing<T> {
    fn default() -> Self {
        Self { chunks: Arc::default(), tail: Vec::new() }
    }
}

impl<T> Growing<T> {
    /// How many items there are.
    pub fn len(&self) -> usize {
        self.chunks.len() * CHUNK + self.tail.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.tail.is_empty()
    }

    /// Adds an item at the end.
    pub fn push(&mut self, item: T) {
        if self.tail.len() == CHUNK {
            let whole = std::mem::take(&mut self.tail);
            Arc::make_mut(&mut self.chunks).push(Arc::new(whole));
        }
        self.tail.push(item);
    }

    /// Adds an item before the one at a place; at the end where there is none. It costs what stands behind.
    pub fn insert(&mut self, place: usize, item: T)
    where
        T: Clone,
    {
        let behind: Vec<T> = self.from(place).cloned().collect();
        self.truncate(place);
        std::iter::once(item).chain(behind).for_each(|item| self.push(item));
    }

    fn truncate(&mut self, length: usize)
    where
        T: Clone,
    {
        let whole = length.saturating_sub(1) / CHUNK;
        if let Some(last) = self.chunks.get(whole) {
            self.tail = last.to_vec();
            Arc::make_mut(&mut self.chunks).truncate(whole);
        }
        self.tail.truncate(length - whole * CHUNK);
    }

    /// The item at a place.
    pub fn get(&self, place: usize) -> Option<&T> {
        match self.chunks.get(place / CHUNK) {
            Some(chunk) => chunk.get(place % CHUNK),
            None => self.tail.get(place - self.chunks.len() * CHUNK),
        }
    }

    /// The last item.
    pub fn last(&self) -> Option<&T> {
        self.tail.last()
    }

    /// The last item, to be changed: it is in no chunk that is shared.
    pub fn last_mut(&mut self) -> Option<&mut T> {
        self.tail.last_mut()
    }

    /// The items in order.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = &T> + Clone {
        self.chunks.iter().flat_map(|chunk| chunk.iter()).chain(&self.tail)
    }

    /// The items from a place on, in order.
    pub fn from(&self, place: usize) -> impl Iterator<Item = &T> {
        (place..self.len()).filter_map(|place| self.get(place))
    }

    /// How many items at the beginning fulfil a condition that none does behind the first that does not.
    pub fn partition_point(&self, is_before: impl Fn(&T) -> bool) -> usize {
        let (mut from, mut to) = (0, self.len());
        while from < to {
            let middle = usize::midpoint(from, to);
            if is_before(&self[middle]) {
                from = middle + 1;
            } else {
                to = middle;
            }
        }
        from
    }
}

impl<T> Index<usize> for Growing<T> {
    type Output = T;

    /// The item at a place.
    ///
    /// # Panics
    /// Where the list is shorter.
    fn index(&self, place: usize) -> &T {
        match self.chunks.get(place / CHUNK) {
            Some(chunk) => &chunk[place % CHUNK],
            None => &self.tail[place - self.chunks.len() * CHUNK],
        }
    }
}

impl<T> FromIterator<T> for Growing<T> {
    fn from_iter<I: IntoIterator<Item = T>>(items: I) -> Self {
        let mut list = Self::default();
        items.into_iter().for_each(|item| list.push(item));
        list
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As a vector has it, for every length around the ends of the chunks.
    #[test]
    fn it_is_as_a_vector_has_it() {
        for length in [0, 1, CHUNK - 1, CHUNK, CHUNK + 1, 2 * CHUNK, 2 * CHUNK + 1, 3 * CHUNK - 1] {
            let wanted: Vec<usize> = (0..length).collect();
            let list: Growing<usize> = wanted.iter().copied().collect();
            assert_eq!((list.len(), list.is_empty()), (length, length == 0));
            assert!(list.iter().eq(&wanted) && list.iter().rev().eq(wanted.iter().rev()));
            assert_eq!(list.last(), wanted.last());
            for place in 0..=length {
                assert_eq!(list.get(place), wanted.get(place));
                assert!(list.from(place).eq(&wanted[place..]));
                assert_eq!(list.partition_point(|item| *item < place), place);
            }
        }
    }

    #[test]
    fn an_item_goes_in_anywhere() {
        for length in [0, 1, CHUNK, CHUNK + 1, 2 * CHUNK, 2 * CHUNK + 1] {
            for place in
                [0, 1, CHUNK - 1, CHUNK, CHUNK + 1, length].into_iter().filter(|place| *place <= length)
            {
                let mut wanted: Vec<usize> = (0..length).collect();
                let mut list: Growing<usize> = wanted.iter().copied().collect();
                list.insert(place, 7);
                wanted.insert(place, 7);
                assert!(list.iter().eq(&wanted) && list.len() == wanted.len(), "{place} of {length}");
                assert_eq!(list.last(), wanted.last());
            }
        }
    }

    #[test]
    fn a_copy_goes_its_own_way() {
        let mut list: Growing<usize> = (0..2 * CHUNK).collect();
        let copy = list.clone();
        for item in 2 * CHUNK..4 * CHUNK {
            list.push(item);
        }
        *list.last_mut().unwrap() = 0;
        assert_eq!((copy.len(), copy.last()), (2 * CHUNK, Some(&(2 * CHUNK - 1))));
        assert_eq!((list.len(), list.last()), (4 * CHUNK, Some(&0)));
        assert!(Arc::ptr_eq(&list.chunks[0], &copy.chunks[0]));
    }
}
