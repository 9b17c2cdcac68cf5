//! Three-component vectors and 3 x 3 matrices over any [`Real`].

use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

use crate::real::Real;

/// A vector's three components in one frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vec3<T>(pub [T; 3]);

impl<T: Real> Vec3<T> {
    /// From components.
    #[inline(always)]
    pub fn new(x: T, y: T, z: T) -> Self {
        Vec3([x, y, z])
    }
    /// The zero vector.
    #[inline(always)]
    pub fn zero() -> Self {
        Vec3([T::zero(); 3])
    }
    /// First component.
    #[inline(always)]
    pub fn x(&self) -> T {
        self.0[0]
    }
    /// Second component.
    #[inline(always)]
    pub fn y(&self) -> T {
        self.0[1]
    }
    /// Third component.
    #[inline(always)]
    pub fn z(&self) -> T {
        self.0[2]
    }
    /// Scalar product.
    #[inline(always)]
    pub fn dot(self, o: Self) -> T {
        let (a, b) = (self.0, o.0);
        a[2].mul_add(b[2], a[1].mul_add(b[1], a[0] * b[0]))
    }
    /// Vector product.
    #[inline(always)]
    pub fn cross(self, o: Self) -> Self {
        let (a, b) = (self.0, o.0);
        Vec3([
            a[1].mul_add(b[2], -(a[2] * b[1])),
            a[2].mul_add(b[0], -(a[0] * b[2])),
            a[0].mul_add(b[1], -(a[1] * b[0])),
        ])
    }
    /// Times a number.
    #[inline(always)]
    pub fn times(self, k: T) -> Self {
        let [x, y, z] = self.0;
        Vec3([x * k, y * k, z * k])
    }
    /// `self * k + o`.
    #[inline(always)]
    pub fn times_plus(self, k: T, o: Self) -> Self {
        let ([x, y, z], [a, b, c]) = (self.0, o.0);
        Vec3([x.mul_add(k, a), y.mul_add(k, b), z.mul_add(k, c)])
    }
    /// Length.
    #[inline(always)]
    pub fn norm(self) -> T {
        self.dot(self).sqrt()
    }
    /// The same direction with length one.
    #[inline(always)]
    pub fn unit(self) -> Self {
        self.times(self.norm().recip())
    }
}

impl<T: Real> Add for Vec3<T> {
    type Output = Self;
    #[inline(always)]
    fn add(self, o: Self) -> Self {
        Vec3([self.0[0] + o.0[0], self.0[1] + o.0[1], self.0[2] + o.0[2]])
    }
}
impl<T: Real> Sub for Vec3<T> {
    type Output = Self;
    #[inline(always)]
    fn sub(self, o: Self) -> Self {
        Vec3([self.0[0] - o.0[0], self.0[1] - o.0[1], self.0[2] - o.0[2]])
    }
}
impl<T: Real> Neg for Vec3<T> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        let [x, y, z] = self.0;
        Vec3([-x, -y, -z])
    }
}
impl<T: Real> AddAssign for Vec3<T> {
    #[inline(always)]
    fn add_assign(&mut self, o: Self) {
        *self = *self + o;
    }
}
impl<T: Real> SubAssign for Vec3<T> {
    #[inline(always)]
    fn sub_assign(&mut self, o: Self) {
        *self = *self - o;
    }
}

/// A 3 x 3 matrix, by columns: `Mat3([c0, c1, c2])`.
///
/// As a rotation `rot_ab`, its columns are the axes of frame b expressed in frame a, so that
/// `v_a = rot_ab * v_b`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mat3<T>(pub [Vec3<T>; 3]);

impl<T: Real> Mat3<T> {
    /// The unit matrix.
    #[inline(always)]
    pub fn identity() -> Self {
        let (o, l) = (T::zero(), T::one());
        Mat3([Vec3::new(l, o, o), Vec3::new(o, l, o), Vec3::new(o, o, l)])
    }
    /// Transpose times a vector: `v_b = rot_ab^T v_a` for a rotation.
    #[inline(always)]
    pub fn transpose_times(&self, v: Vec3<T>) -> Vec3<T> {
        let [a, b, c] = self.0;
        Vec3([a.dot(v), b.dot(v), c.dot(v)])
    }
    /// The transpose.
    #[inline(always)]
    pub fn transpose(&self) -> Self {
        let [a, b, c] = self.0;
        Mat3([
            Vec3::new(a.x(), b.x(), c.x()),
            Vec3::new(a.y(), b.y(), c.y()),
            Vec3::new(a.z(), b.z(), c.z()),
        ])
    }
    /// Turn by `angle` about the z axis.
    #[inline(always)]
    pub fn about_z(angle: T) -> Self {
        let (s, c) = angle.sin_cos();
        let (o, l) = (T::zero(), T::one());
        Mat3([Vec3::new(c, s, o), Vec3::new(-s, c, o), Vec3::new(o, o, l)])
    }
    /// Turn by `angle` about the y axis.
    #[inline(always)]
    pub fn about_y(angle: T) -> Self {
        let (s, c) = angle.sin_cos();
        let (o, l) = (T::zero(), T::one());
        Mat3([Vec3::new(c, o, -s), Vec3::new(o, l, o), Vec3::new(s, o, c)])
    }
    /// Turn by `angle` about the x axis.
    #[inline(always)]
    pub fn about_x(angle: T) -> Self {
        let (s, c) = angle.sin_cos();
        let (o, l) = (T::zero(), T::one());
        Mat3([Vec3::new(l, o, o), Vec3::new(o, c, s), Vec3::new(o, -s, c)])
    }
    /// Turn by `angle` about the unit vector `axis` (Rodrigues).
    #[inline(always)]
    pub fn about(axis: Vec3<T>, angle: T) -> Self {
        let (s, c) = angle.sin_cos();
        let v = T::one() - c;
        let [x, y, z] = axis.0;
        Mat3([
            Vec3::new(x * x * v + c, x * y * v + z * s, x * z * v - y * s),
            Vec3::new(x * y * v - z * s, y * y * v + c, y * z * v + x * s),
            Vec3::new(x * z * v + y * s, y * z * v - x * s, z * z * v + c),
        ])
    }
}

impl<T: Real> Mul<Vec3<T>> for Mat3<T> {
    type Output = Vec3<T>;
    #[inline(always)]
    fn mul(self, v: Vec3<T>) -> Vec3<T> {
        let [a, b, c] = self.0;
        c.times_plus(v.z(), b.times_plus(v.y(), a.times(v.x())))
    }
}
impl<T: Real> Mul for Mat3<T> {
    type Output = Self;
    #[inline(always)]
    fn mul(self, o: Self) -> Self {
        let [a, b, c] = o.0;
        Mat3([self * a, self * b, self * c])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rotations_agree_with_the_turn_about_an_axis() {
        for (axis, turn) in [
            ([1.0, 0.0, 0.0], Mat3::about_x(0.3)),
            ([0.0, 1.0, 0.0], Mat3::about_y(0.3)),
            ([0.0, 0.0, 1.0], Mat3::about_z(0.3)),
        ] {
            let general = Mat3::about(Vec3(axis), 0.3f64);
            let back = general.transpose() * turn;
            for (i, c) in back.0.iter().enumerate() {
                for j in 0..3 {
                    let want = if i == j { 1.0 } else { 0.0 };
                    assert!((c.0[j] - want).abs() < 1e-15);
                }
            }
        }
        // Right-handed: a quarter turn about z takes x to y.
        let y = Mat3::about_z(std::f64::consts::FRAC_PI_2) * Vec3([1.0, 0.0, 0.0]);
        assert!((y.y() - 1.0).abs() < 1e-15);
    }
}
