//! A number that records the operations it comes from.
//!
//! The equations run on [`Count`] compute the same bits as on `f64`, and every operation becomes a
//! node of a graph. Counted are the operations that the requested results depend on, each once
//! however often it is written: operations that a compiler removes do not count. Both sides of a
//! choice count, because lanes compute both.

use std::cell::RefCell;
use std::collections::HashMap;
use std::ops::{Add, AddAssign, Div, Mul, MulAssign, Neg, Sub, SubAssign};

use axletree_scalar::Real;
use axletree_scalar::elementary::{self, Elementary};

/// Floating-point operations.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Sums and differences.
    pub sums: u64,
    /// Products.
    pub products: u64,
    /// Products with a sum, rounded once.
    pub fused: u64,
    /// Quotients.
    pub quotients: u64,
    /// Square roots.
    pub roots: u64,
}

impl Tally {
    /// All of them, a fused product and sum as two.
    pub fn operations(&self) -> u64 {
        self.sums + self.products + 2 * self.fused + self.quotients + self.roots
    }
}

/// The operation that made a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Kind {
    /// Given from outside, with its place.
    Given(usize),
    /// A constant, with its bits.
    Constant(u64),
    Sum,
    Difference,
    Product,
    Fused,
    Quotient,
    Root,
    /// A comparison, a choice, a change of sign or of bits: not counted.
    Free(&'static str),
}

type Node = (Kind, [usize; 3]);

#[derive(Default)]
struct Graph {
    nodes: Vec<Node>,
    known: HashMap<Node, usize>,
}

thread_local! {
    static GRAPH: RefCell<Graph> = RefCell::default();
}

/// The node of an operation; the same one for the same operation.
fn node(kind: Kind, on: [usize; 3]) -> usize {
    GRAPH.with_borrow_mut(|graph| {
        let next = graph.nodes.len();
        let at = *graph.known.entry((kind, on)).or_insert(next);
        if at == next {
            graph.nodes.push((kind, on));
        }
        at
    })
}

/// Runs work on this thread and counts the operations that its results depend on.
pub fn counted<const N: usize>(work: impl FnOnce() -> [Count; N]) -> ([f64; N], Tally) {
    GRAPH.with_borrow_mut(|graph| {
        graph.nodes.clear();
        graph.known.clear();
    });
    let results = work();
    let tally = GRAPH.with_borrow(|graph| {
        let mut needed = vec![false; graph.nodes.len()];
        let mut pending: Vec<usize> = results.iter().map(|x| x.node).collect();
        let mut tally = Tally::default();
        while let Some(at) = pending.pop() {
            if std::mem::replace(&mut needed[at], true) {
                continue;
            }
            let (kind, on) = graph.nodes[at];
            let operands = match kind {
                Kind::Given(_) | Kind::Constant(_) => 0,
                Kind::Root => 1,
                Kind::Sum | Kind::Difference | Kind::Product | Kind::Quotient => 2,
                Kind::Fused | Kind::Free(_) => 3,
            };
            pending.extend(&on[..operands]);
            match kind {
                Kind::Sum | Kind::Difference => tally.sums += 1,
                Kind::Product => tally.products += 1,
                Kind::Fused => tally.fused += 1,
                Kind::Quotient => tally.quotients += 1,
                Kind::Root => tally.roots += 1,
                Kind::Given(_) | Kind::Constant(_) | Kind::Free(_) => {}
            }
        }
        tally
    });
    (results.map(|x| x.value), tally)
}

/// A number with its place in the graph.
#[derive(Clone, Copy, Debug)]
pub struct Count {
    value: f64,
    node: usize,
}

impl Count {
    /// A number given from outside, within the counted work.
    pub fn given(value: f64) -> Self {
        let next = GRAPH.with_borrow(|graph| graph.nodes.len());
        Count {
            value,
            node: node(Kind::Given(next), [0; 3]),
        }
    }

    fn made<const K: usize>(value: f64, kind: Kind, from: [Count; K]) -> Self {
        let mut on = [from[0].node; 3];
        for (to, from) in on.iter_mut().zip(from) {
            *to = from.node;
        }
        Count {
            value,
            node: node(kind, on),
        }
    }
}

/// A comparison's result, with its node.
#[derive(Clone, Copy, Debug)]
pub struct CountMask(bool, usize);

impl Add for Count {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Count::made(self.value + o.value, Kind::Sum, [self, o])
    }
}
impl Sub for Count {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Count::made(self.value - o.value, Kind::Difference, [self, o])
    }
}
impl Mul for Count {
    type Output = Self;
    fn mul(self, o: Self) -> Self {
        Count::made(self.value * o.value, Kind::Product, [self, o])
    }
}
impl Div for Count {
    type Output = Self;
    fn div(self, o: Self) -> Self {
        Count::made(self.value / o.value, Kind::Quotient, [self, o])
    }
}
impl Neg for Count {
    type Output = Self;
    fn neg(self) -> Self {
        Count::made(-self.value, Kind::Free("-"), [self])
    }
}
impl AddAssign for Count {
    fn add_assign(&mut self, o: Self) {
        *self = *self + o;
    }
}
impl SubAssign for Count {
    fn sub_assign(&mut self, o: Self) {
        *self = *self - o;
    }
}
impl MulAssign for Count {
    fn mul_assign(&mut self, o: Self) {
        *self = *self * o;
    }
}

impl Real for Count {
    type Mask = CountMask;
    fn c(x: f64) -> Self {
        Count {
            value: x,
            node: node(Kind::Constant(x.to_bits()), [0; 3]),
        }
    }
    fn lt(self, other: Self) -> CountMask {
        let compared = Count::made(0.0, Kind::Free("<"), [self, other]);
        CountMask(self.value < other.value, compared.node)
    }
    fn sel(mask: CountMask, a: Self, b: Self) -> Self {
        let value = if mask.0 { a.value } else { b.value };
        Count {
            value,
            node: node(Kind::Free("choice"), [mask.1, a.node, b.node]),
        }
    }
    fn mul_add(self, a: Self, b: Self) -> Self {
        let value = self.value.mul_add(a.value, b.value);
        Count::made(value, Kind::Fused, [self, a, b])
    }
    fn sqrt(self) -> Self {
        Count::made(self.value.sqrt(), Kind::Root, [self])
    }
    fn sin_cos(self) -> (Self, Self) {
        elementary::sin_cos(self)
    }
    fn atan(self) -> Self {
        elementary::atan(self)
    }
    fn exp(self) -> Self {
        elementary::exp(self)
    }
    fn tanh(self) -> Self {
        elementary::tanh(self)
    }
}

impl Elementary for Count {
    fn with_sign_of(self, s: Self) -> Self {
        Count::made(self.value.copysign(s.value), Kind::Free("sign"), [self, s])
    }
    fn magnitude(self) -> Self {
        Count::made(self.value.abs(), Kind::Free("magnitude"), [self])
    }
    fn exp2_whole(k: Self) -> Self {
        Count::made(
            <f64 as Elementary>::exp2_whole(k.value),
            Kind::Free("power of two"),
            [k],
        )
    }
    fn is_odd(k: Self) -> CountMask {
        let compared = Count::made(0.0, Kind::Free("odd"), [k]);
        CountMask(<f64 as Elementary>::is_odd(k.value), compared.node)
    }
}
