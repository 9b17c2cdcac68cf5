//! A number that remembers what was done to get it.
//!
//! For tests and benches that state how much work an evaluation is: the equations run on [`Count`] do
//! what they do on `f64`, to the last bit, and every operation becomes a node of a graph. Counted are the
//! operations that the results asked for depend on, each once however often it is written: what a
//! compiler leaves out is not counted. Both sides of a choice count, because lanes compute both.

use std::cell::RefCell;
use std::collections::HashMap;
use std::ops::{Add, AddAssign, Div, Mul, MulAssign, Neg, Sub, SubAssign};

use crate::elementary::{self, Lane};
use crate::real::Real;

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

/// What made a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Kind {
    /// Given from outside: its number.
    Given(usize),
    /// A constant: its bits.
    Constant(u64),
    Sum,
    Difference,
    Product,
    Fused,
    Quotient,
    Root,
    /// A comparison, a choice, a change of sign or of bits: none of these count.
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

/// The node of an operation, the old one where it was done before.
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

/// Does work on this thread and counts what its results depend on.
pub fn counted<const N: usize>(work: impl FnOnce() -> [Count; N]) -> ([f64; N], Tally) {
    GRAPH.with_borrow_mut(|graph| {
        graph.nodes.clear();
        graph.known.clear();
    });
    let results = work();
    let tally = GRAPH.with_borrow(|graph| {
        let mut needed = vec![false; graph.nodes.len()];
        let mut ask: Vec<usize> = results.iter().map(|x| x.node).collect();
        let mut tally = Tally::default();
        while let Some(at) = ask.pop() {
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
            ask.extend(&on[..operands]);
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

/// A number that remembers.
#[derive(Clone, Copy, Debug)]
pub struct Count {
    value: f64,
    node: usize,
}

impl Count {
    /// A number given from outside, inside the work that is counted.
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
pub struct Told(bool, usize);

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
    type Mask = Told;
    fn c(x: f64) -> Self {
        Count {
            value: x,
            node: node(Kind::Constant(x.to_bits()), [0; 3]),
        }
    }
    fn lt(self, other: Self) -> Told {
        let told = Count::made(0.0, Kind::Free("<"), [self, other]);
        Told(self.value < other.value, told.node)
    }
    fn sel(mask: Told, a: Self, b: Self) -> Self {
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

impl Lane for Count {
    type Mask = Told;
    fn splat(x: f64) -> Self {
        Real::c(x)
    }
    fn fma(self, a: Self, b: Self) -> Self {
        Real::mul_add(self, a, b)
    }
    fn less(self, other: Self) -> Told {
        Real::lt(self, other)
    }
    fn blend(mask: Told, a: Self, b: Self) -> Self {
        Real::sel(mask, a, b)
    }
    fn with_sign_of(self, s: Self) -> Self {
        Count::made(self.value.copysign(s.value), Kind::Free("sign"), [self, s])
    }
    fn magnitude(self) -> Self {
        Count::made(self.value.abs(), Kind::Free("magnitude"), [self])
    }
    fn exp2_whole(k: Self) -> Self {
        Count::made(
            <f64 as Lane>::exp2_whole(k.value),
            Kind::Free("power of two"),
            [k],
        )
    }
    fn odd(k: Self) -> Told {
        let told = Count::made(0.0, Kind::Free("odd"), [k]);
        Told(<f64 as Lane>::odd(k.value), told.node)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_needed_counts_once_and_the_bits_are_those_of_f64() {
        let (got, tally) = counted(|| {
            let [x, y] = [0.3, 0.7].map(Count::given);
            // Not needed: nobody asks for it.
            let _ = x * x * x;
            // Written twice, done once; of a choice both sides.
            let both = (x + y) + (x + y);
            let chosen = Real::sel(x.lt(y), x / y, y - x);
            [both * x.mul_add(y, chosen), y.sqrt()]
        });
        let want = ((0.3 + 0.7) + (0.3 + 0.7)) * 0.3f64.mul_add(0.7, 0.3 / 0.7);
        assert_eq!(got[0].to_bits(), want.to_bits());
        let each = Tally {
            sums: 3,
            products: 1,
            fused: 1,
            quotients: 1,
            roots: 1,
        };
        assert_eq!(tally, each);
        assert_eq!(tally.operations(), 8);
        let (sine, tally) = counted(|| [Count::given(1.2).sin()]);
        assert_eq!(sine[0].to_bits(), Real::sin(1.2).to_bits());
        assert!(tally.fused > 10);
    }
}
