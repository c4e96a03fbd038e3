//! The greatest flow from vehicles to pieces of time: augmenting along shortest ways, level by level (Dinic 1970).
//!
//! Amounts are whole numbers of a billionth of an ampere-hour, so that it ends and comes out the same everywhere.
//! Node 0 is the source, node 1 the sink, then the vehicles, then the pieces. Every index used here is a node or an edge
//! that this file has made.

/// Amounts a whole ampere-hour has.
const PER_AH: f64 = 1e9;

/// An amount in whole units. What is more than ten million ampere-hours counts as that much: hundreds of such amounts
/// still add up within 64 bits. Room is so never overstated, and what a need is short of is reckoned from the need itself.
pub(super) fn units(ah: f64) -> i64 {
    (ah.clamp(0.0, 1e7) * PER_AH).round() as i64
}

/// Ampere-hours of whole units.
pub(super) fn ampere_hours(units: i64) -> f64 {
    units as f64 / PER_AH
}

#[derive(Clone, Copy, Debug)]
struct Edge {
    to: u32,
    left: i64,
    /// Next edge of the same node; `NONE` ends.
    next: u32,
}

const NONE: u32 = u32::MAX;

/// A network whose flow is found and found again as its ends change. Edge `2 k` and its return `2 k + 1` stand together.
#[derive(Debug)]
pub(super) struct Network {
    first: Vec<u32>,
    edges: Vec<Edge>,
    capacity: Vec<i64>,
    vehicles: usize,
    level: Vec<u32>,
    at: Vec<u32>,
    queue: Vec<u32>,
}

impl Network {
    /// Nodes for so many vehicles and pieces, no edges but those of the ends, which are at nought.
    pub(super) fn new(vehicles: usize, pieces: usize) -> Self {
        let nodes = 2 + vehicles + pieces;
        let mut network = Self {
            first: vec![NONE; nodes],
            edges: Vec::with_capacity(2 * (vehicles + pieces * (1 + vehicles))),
            capacity: Vec::new(),
            vehicles,
            level: vec![NONE; nodes],
            at: vec![NONE; nodes],
            queue: Vec::with_capacity(nodes),
        };
        for vehicle in 0..vehicles {
            network.edge(0, 2 + vehicle);
        }
        for piece in 0..pieces {
            network.edge(2 + vehicles + piece, 1);
        }
        network
    }

    fn edge(&mut self, from: usize, to: usize) -> usize {
        let number = self.edges.len();
        for (node, other) in [(from, to), (to, from)] {
            let next = std::mem::replace(&mut self.first[node], self.edges.len() as u32);
            self.edges.push(Edge { to: other as u32, left: 0, next });
        }
        self.capacity.push(0);
        number / 2
    }

    /// A way from a vehicle to a piece that carries at most so much. Its number serves `carried`.
    pub(super) fn join(&mut self, vehicle: usize, piece: usize, most: i64) -> usize {
        let number = self.edge(2 + vehicle, 2 + self.vehicles + piece);
        self.capacity[number] = most;
        number
    }

    /// What a vehicle needs.
    pub(super) fn set_need(&mut self, vehicle: usize, need: i64) {
        self.capacity[vehicle] = need;
    }

    /// What a piece holds.
    pub(super) fn set_room(&mut self, piece: usize, room: i64) {
        self.capacity[self.vehicles + piece] = room;
    }

    /// Finds a greatest flow and returns it.
    pub(super) fn solve(&mut self) -> i64 {
        for (number, capacity) in self.capacity.iter().enumerate() {
            self.edges[2 * number].left = *capacity;
            self.edges[2 * number + 1].left = 0;
        }
        let mut whole = 0;
        while self.find_levels() {
            self.at.copy_from_slice(&self.first);
            loop {
                let pushed = self.push(0, i64::MAX);
                if pushed == 0 {
                    break;
                }
                whole += pushed;
            }
        }
        whole
    }

    /// Steps of every node from the source along what is left; whether the sink is reached.
    fn find_levels(&mut self) -> bool {
        self.level.fill(NONE);
        self.level[0] = 0;
        self.queue.clear();
        self.queue.push(0);
        let mut head = 0;
        while let Some(node) = self.queue.get(head).copied() {
            head += 1;
            let mut number = self.first[node as usize];
            while number != NONE {
                let edge = self.edges[number as usize];
                if edge.left > 0 && self.level[edge.to as usize] == NONE {
                    self.level[edge.to as usize] = self.level[node as usize] + 1;
                    self.queue.push(edge.to);
                }
                number = edge.next;
            }
        }
        self.level[1] != NONE
    }

    /// Pushes up to `most` from a node on to the sink, as much as its ways of this level take; returns what went.
    fn push(&mut self, node: usize, most: i64) -> i64 {
        if node == 1 {
            return most;
        }
        let mut gone = 0;
        while self.at[node] != NONE {
            let number = self.at[node] as usize;
            let edge = self.edges[number];
            if edge.left > 0 && self.level[edge.to as usize] == self.level[node] + 1 {
                let pushed = self.push(edge.to as usize, edge.left.min(most - gone));
                self.edges[number].left -= pushed;
                self.edges[number ^ 1].left += pushed;
                gone += pushed;
                if gone == most {
                    return gone;
                }
            }
            self.at[node] = self.edges[number].next;
        }
        gone
    }

    /// What the last flow brings to a vehicle.
    pub(super) fn served(&self, vehicle: usize) -> i64 {
        self.capacity[vehicle] - self.edges[2 * vehicle].left
    }

    /// What the last flow carries on a way.
    pub(super) fn carried(&self, way: usize) -> i64 {
        self.edges[2 * way + 1].left
    }

    /// Whether a vehicle stands on the source's side of the last flow's least cut.
    pub(super) fn short(&self, vehicle: usize) -> bool {
        self.level[2 + vehicle] != NONE
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::splitmix::Splitmix;
    use pathfinding::directed::edmonds_karp::{SparseCapacity, edmonds_karp};

    #[test]
    fn the_greatest_flow_is_that_of_another_implementation_and_its_cut() {
        let mut draw = Splitmix(7);
        for _ in 0..300 {
            let (vehicles, pieces) = (1 + draw.next() as usize % 5, 1 + draw.next() as usize % 12);
            let mut network = Network::new(vehicles, pieces);
            let mut ways: Vec<((usize, usize), i64)> = Vec::new();
            let mut joined = Vec::new();
            for vehicle in 0..vehicles {
                let need = draw.next() as i64 & 63;
                network.set_need(vehicle, need);
                ways.push(((0, 2 + vehicle), need));
                for piece in 0..pieces {
                    if !draw.next().is_multiple_of(3) {
                        let most = draw.next() as i64 & 15;
                        joined.push((vehicle, piece, most, network.join(vehicle, piece, most)));
                        ways.push(((2 + vehicle, 2 + vehicles + piece), most));
                    }
                }
            }
            let rooms: Vec<i64> = (0..pieces).map(|_| draw.next() as i64 & 31).collect();
            for (piece, room) in rooms.iter().enumerate() {
                network.set_room(piece, *room);
                ways.push(((2 + vehicles + piece, 1), *room));
            }
            let nodes: Vec<usize> = (0..2 + vehicles + pieces).collect();
            let (_, theirs, _) = edmonds_karp::<_, _, _, SparseCapacity<_>>(&nodes, &0, &1, ways.clone());
            let ours = network.solve();
            assert_eq!(ours, theirs);
            let cut: i64 = (0..vehicles).filter(|v| !network.short(*v)).map(|v| ways_of(&ways, v)).sum::<i64>()
                + (0..pieces)
                    .map(|piece| {
                        let into: i64 = joined
                            .iter()
                            .filter(|(v, p, ..)| *p == piece && network.short(*v))
                            .map(|(.., m, _)| m)
                            .sum();
                        into.min(rooms[piece])
                    })
                    .sum::<i64>();
            assert_eq!(ours, cut);
            assert_eq!(ours, joined.iter().map(|(.., way)| network.carried(*way)).sum::<i64>());
            assert_eq!(ours, (0..vehicles).map(|vehicle| network.served(vehicle)).sum::<i64>());
        }
    }

    fn ways_of(ways: &[((usize, usize), i64)], vehicle: usize) -> i64 {
        ways.iter().filter(|((from, to), _)| *from == 0 && *to == 2 + vehicle).map(|(_, most)| most).sum()
    }
}
