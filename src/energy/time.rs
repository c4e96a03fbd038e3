//! The horizon cut into pieces in which nothing changes: half-hours, cut again where a window begins or ends.

use super::{HALF_HOUR_H, Supply, Vehicles};

/// Hours within which two moments are the same.
const SAME_H: f64 = 1e-9;

/// A stretch of time in which the room and the vehicles that are plugged in stay the same.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Piece {
    /// How long, hours.
    pub(super) hours: f64,
    /// Amperes a phase that are left.
    pub(super) room_a: f64,
    /// Which vehicles are plugged in: places in the list, ascending. Never empty.
    pub(super) present: Vec<usize>,
    /// The half-hours it lies in, with the hours of each.
    pub(super) within: Vec<(usize, f64)>,
}

/// When vehicles are plugged in, around a horizon.
#[derive(Clone, Copy, Debug)]
struct Window {
    from_h: f64,
    until_h: f64,
}

impl Window {
    /// `None` where the hours are no numbers.
    fn of(vehicles: &Vehicles, horizon_h: f64) -> Option<Self> {
        if !(vehicles.arrive_h.is_finite() && vehicles.depart_h.is_finite()) {
            return None;
        }
        let length_h = if vehicles.depart_h > vehicles.arrive_h + SAME_H {
            (vehicles.depart_h - vehicles.arrive_h).min(horizon_h)
        } else {
            match (vehicles.depart_h - vehicles.arrive_h).rem_euclid(horizon_h) {
                length_h if length_h > SAME_H => length_h,
                _ => horizon_h,
            }
        };
        let from_h = vehicles.arrive_h.rem_euclid(horizon_h);
        Some(Self { from_h, until_h: from_h + length_h })
    }

    fn holds(self, hour: f64, horizon_h: f64) -> bool {
        (self.from_h < hour && hour < self.until_h) || hour + horizon_h < self.until_h
    }

    fn overlaps(self, other: Window, horizon_h: f64) -> bool {
        let meet = |shift_h: f64| {
            self.from_h + shift_h < other.until_h - SAME_H && other.from_h + SAME_H < self.until_h + shift_h
        };
        meet(0.0) || meet(horizon_h) || meet(-horizon_h)
    }
}

/// Whether two windows share time.
pub(super) fn share_time(one: &Vehicles, other: &Vehicles, horizon_h: f64) -> bool {
    match (Window::of(one, horizon_h), Window::of(other, horizon_h)) {
        (Some(one), Some(other)) => one.overlaps(other, horizon_h),
        _ => false,
    }
}

/// The pieces in which any vehicle is plugged in that wants energy. `capped` makes of the room of a half-hour what counts
/// of it (in order: pieces side by side that come to the same become one).
pub(super) fn pieces<const HALF_HOURS: usize>(
    vehicles: &[Vehicles],
    supply: &Supply<HALF_HOURS>,
    capped: impl Fn(f64) -> f64,
) -> Vec<Piece> {
    let horizon_h = supply.horizon_h();
    let windows: Vec<(usize, Window)> = vehicles
        .iter()
        .enumerate()
        .filter(|(_, vehicles)| vehicles.wants())
        .filter_map(|(index, vehicles)| Some((index, Window::of(vehicles, horizon_h)?)))
        .collect();
    let mut edges_h: Vec<f64> =
        windows.iter().flat_map(|(_, window)| [window.from_h, window.until_h.rem_euclid(horizon_h)]).collect();
    edges_h.sort_by(f64::total_cmp);
    let mut edges_h = edges_h.into_iter().peekable();
    let mut pieces: Vec<Piece> = Vec::new();
    let mut present = Vec::new();
    for (half_hour, room_a) in supply.room_a.iter().enumerate() {
        // Not a number is no room.
        let room_a = capped(if *room_a > 0.0 { *room_a } else { 0.0 });
        let (mut from_h, end_h) = (half_hour as f64 * HALF_HOUR_H, (half_hour + 1) as f64 * HALF_HOUR_H);
        while from_h < end_h - SAME_H {
            while edges_h.next_if(|edge_h| *edge_h <= from_h + SAME_H).is_some() {}
            let until_h = match edges_h.peek() {
                Some(edge_h) if *edge_h < end_h - SAME_H => *edge_h,
                _ => end_h,
            };
            let middle_h = (from_h + until_h) / 2.0;
            present.clear();
            present.extend(
                windows.iter().filter(|(_, window)| window.holds(middle_h, horizon_h)).map(|(index, _)| *index),
            );
            let hours = until_h - from_h;
            from_h = until_h;
            if present.is_empty() {
                continue;
            }
            match pieces.last_mut() {
                Some(last) if last.room_a == room_a && last.present == present => {
                    last.hours += hours;
                    last.within.push((half_hour, hours));
                }
                _ => {
                    pieces.push(Piece { hours, room_a, present: present.clone(), within: vec![(half_hour, hours)] });
                }
            }
        }
    }
    pieces
}

/// Vehicles and pieces that have to do with each other, apart from the rest.
#[derive(Debug)]
pub(super) struct Part {
    /// Places in the list of vehicles, ascending.
    pub(super) vehicles: Vec<usize>,
    /// Places in the list of pieces, ascending.
    pub(super) pieces: Vec<usize>,
}

/// The parts, in the order of their first vehicles.
pub(super) fn parts(count: usize, pieces: &[Piece]) -> Vec<Part> {
    // `root[i] <= i` all along: every entry made here is a place in the list.
    let mut root: Vec<usize> = (0..count).collect();
    fn find(root: &mut [usize], mut index: usize) -> usize {
        while root[index] != index {
            root[index] = root[root[index]];
            index = root[index];
        }
        index
    }
    let mut seen = vec![false; count];
    for piece in pieces {
        let mut first = None;
        for index in &piece.present {
            seen[*index] = true;
            let own = find(&mut root, *index);
            match first {
                None => first = Some(own),
                Some(other) if other != own => {
                    root[own.max(other)] = own.min(other);
                    first = Some(own.min(other));
                }
                Some(_) => {}
            }
        }
    }
    let mut place = vec![usize::MAX; count];
    let mut parts: Vec<Part> = Vec::new();
    for index in (0..count).filter(|index| seen[*index]) {
        let own = find(&mut root, index);
        if place[own] == usize::MAX {
            place[own] = parts.len();
            parts.push(Part { vehicles: Vec::new(), pieces: Vec::new() });
        }
        if let Some(part) = parts.get_mut(place[own]) {
            part.vehicles.push(index);
        }
    }
    for (number, piece) in pieces.iter().enumerate() {
        if let Some(first) = piece.present.first() {
            let own = find(&mut root, *first);
            if let Some(part) = parts.get_mut(place[own]) {
                part.pieces.push(number);
            }
        }
    }
    parts
}
