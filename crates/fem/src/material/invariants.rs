//! Isochoric laws W(I1bar, I2bar) of the volume-preserving part of the deformation.
//!
//! I1bar = J^(-2/3) I1, I2bar = J^(-4/3) I2 with I1 = tr C, I2 = ((tr C)^2 - tr C^2)/2. In five components, with
//! D = F_rR F_zZ - F_rZ F_zR, S = F_rR^2 + F_rZ^2 + F_zR^2 + F_zZ^2 and h the hoop stretch: I1 = S + h^2, I2 = D^2 + S h^2
//! (the in-plane principal stretches a, b give D = a b and S = a^2 + b^2).
//! Source of the split: Holzapfel, Nonlinear Solid Mechanics, section 6.4 (from memory).

use super::Response;
use crate::kinematics::{
    Mat4, Mat5, Vec5, add_jacobian_hessian, add_jacobian_shear_hessian, jacobian, jacobian_gradient, jacobian_hessian,
};

/// Energy and its derivatives by the two isochoric invariants, MPa.
#[derive(Clone, Copy, Debug, Default)]
pub struct Derivatives {
    /// W.
    pub w: f64,
    /// dW/dI1bar.
    pub w1: f64,
    /// dW/dI2bar.
    pub w2: f64,
    /// d2W/dI1bar^2.
    pub w11: f64,
}

/// A law given by its isochoric invariants; the mixed second derivative and the one by I2bar vanish for the laws of this crate.
pub trait Isochoric: Send + Sync {
    /// Energy and derivatives at (I1bar, I2bar).
    fn derivatives(&self, i1: f64, i2: f64) -> Derivatives;
}

/// Powers of J in the isochoric invariants.
const FIRST: f64 = -2.0 / 3.0;
const SECOND: f64 = -4.0 / 3.0;

/// J^(-2/3) and J^(-4/3).
fn scales(j: f64) -> (f64, f64) {
    let root = inverse_cube_root(j);
    let one = root * root;
    (one, one * one)
}

/// J^(-1/3). Near J = 1, where rubber stays, by its series and two of Newton's steps on y^-3 = J, in a third of the time of a power.
fn inverse_cube_root(j: f64) -> f64 {
    const NEAR: f64 = 0.02;
    let e = j - 1.0;
    if e.abs() > NEAR {
        return j.powf(-1.0 / 3.0);
    }
    let newton = |y: f64| y * (4.0 - j * y * y * y) * (1.0 / 3.0);
    newton(newton(1.0 - e * (1.0 / 3.0 - e * (2.0 / 9.0))))
}

/// Response of an isochoric law at `f`, J > 0.
pub fn response(law: &impl Isochoric, f: &Vec5) -> Response {
    let (j, g) = (jacobian(f), jacobian_gradient(f));
    let (scale_one, scale_two) = scales(j);
    let first = f.norm_squared();
    let d = law.derivatives(scale_one * first, scale_two * second_value(f));
    let mut response = by_first(f, &g, j, scale_one, first, &d);
    if d.w2 != 0.0 {
        let two = scaled(&second(f), j, &g, &jacobian_hessian(f), SECOND, scale_two);
        response.stress += two.gradient * d.w2;
        response.tangent += two.hessian * d.w2;
    }
    response
}

/// Stress of an isochoric law at `f`, J > 0.
pub fn stress(law: &impl Isochoric, f: &Vec5) -> Vec5 {
    let (j, g) = (jacobian(f), jacobian_gradient(f));
    let (scale_one, scale_two) = scales(j);
    let (first, second) = (f.norm_squared(), second_value(f));
    let d = law.derivatives(scale_one * first, scale_two * second);
    let mut stress = scaled_gradient(&(f * 2.0), first, &g, FIRST / j, scale_one) * d.w1;
    if d.w2 != 0.0 {
        stress += scaled_gradient(&second_gradient(f), second, &g, SECOND / j, scale_two) * d.w2;
    }
    stress
}

/// Tangent of an isochoric law in the components of [`Mat4`] at `f`, J > 0. First derivatives of J, I1 and I2 by them vanish, so that of
/// the product rule only J^a (I'' + a / J I J'') is left.
pub fn shear_tangent(law: &impl Isochoric, f: &Vec5) -> Mat4 {
    let j = jacobian(f);
    let (scale_one, scale_two) = scales(j);
    let (first, second) = (f.norm_squared(), second_value(f));
    let d = law.derivatives(scale_one * first, scale_two * second);
    let mut tangent = Mat4::identity() * (2.0 * d.w1 * scale_one);
    add_jacobian_shear_hessian(f, d.w1 * scale_one * FIRST / j * first, &mut tangent);
    if d.w2 != 0.0 {
        tangent += second_shear_hessian(f) * (d.w2 * scale_two);
        add_jacobian_shear_hessian(f, d.w2 * scale_two * SECOND / j * second, &mut tangent);
    }
    tangent
}

/// d2I2/dF2 in the components of [`Mat4`], by I2 = |cof F|^2.
fn second_shear_hessian(f: &Vec5) -> Mat4 {
    let [rr, rz, zr, zz, h] = [f[0], f[1], f[2], f[3], f[4]];
    let (ab, ac, ad) = (-rr * h, -rz * h, -(rz * zz + rr * zr));
    let (bc, bd, cd) = (-(zr * zz + rr * rz), -zr * h, -zz * h);
    let (aa, bb) = (zz * zz + zr * zr, zz * zz + rz * rz);
    let (cc, dd) = (zr * zr + rr * rr, rr * rr + rz * rz);
    Mat4::new(aa, ab, ac, ad, ab, bb, bc, bd, ac, bc, cc, cd, ad, bd, cd, dd) * 2.0
}

/// The part of the response by I1bar = J^a I1, a = -2/3, with I1' = 2 F: its second derivative is
/// J^a (2 I + 2 a / J (F g' + g F') + a (a - 1) / J^2 I1 g g' + a / J I1 g'') with g = dJ / dF.
fn by_first(f: &Vec5, g: &Vec5, j: f64, scale: f64, first: f64, d: &Derivatives) -> Response {
    let (c, w) = (FIRST / j, d.w1 * scale);
    let gradient = scaled_gradient(&(f * 2.0), first, g, c, scale);
    let half = f * (2.0 * w * c) + g * (0.5 * w * FIRST * (FIRST - 1.0) / (j * j) * first);
    let mut tangent = half * g.transpose() + g * half.transpose();
    for i in 0..5 {
        tangent[(i, i)] += 2.0 * w;
    }
    add_jacobian_hessian(f, w * c * first, &mut tangent);
    if d.w11 != 0.0 {
        tangent += gradient * gradient.transpose() * d.w11;
    }
    Response { energy: d.w, stress: gradient * d.w1, tangent }
}

/// A scalar function of F with its first two derivatives.
struct Scalar {
    value: f64,
    gradient: Vec5,
    hessian: Mat5,
}

/// I2 itself.
fn second_value(f: &Vec5) -> f64 {
    let d = f[0] * f[3] - f[1] * f[2];
    d * d + (f[0] * f[0] + f[1] * f[1] + f[2] * f[2] + f[3] * f[3]) * f[4] * f[4]
}

/// dI2/dF.
fn second_gradient(f: &Vec5) -> Vec5 {
    let d = f[0] * f[3] - f[1] * f[2];
    let h = f[4];
    let in_plane = Vec5::new(f[0], f[1], f[2], f[3], 0.0);
    let mut gradient = Vec5::new(f[3], -f[2], -f[1], f[0], 0.0) * (2.0 * d) + in_plane * (2.0 * h * h);
    gradient[4] += 2.0 * in_plane.norm_squared() * h;
    gradient
}

/// I2.
fn second(f: &Vec5) -> Scalar {
    let d = f[0] * f[3] - f[1] * f[2];
    let h = f[4];
    let s = Vec5::new(f[0], f[1], f[2], f[3], 0.0).norm_squared();
    let dd = Vec5::new(f[3], -f[2], -f[1], f[0], 0.0);
    let mut hessian = dd * dd.transpose() * 2.0;
    hessian[(0, 3)] += 2.0 * d;
    hessian[(3, 0)] += 2.0 * d;
    hessian[(1, 2)] -= 2.0 * d;
    hessian[(2, 1)] -= 2.0 * d;
    for i in 0..4 {
        hessian[(i, i)] += 2.0 * h * h;
        hessian[(i, 4)] += 4.0 * h * f[i];
        hessian[(4, i)] += 4.0 * h * f[i];
    }
    hessian[(4, 4)] += 2.0 * s;
    Scalar { value: second_value(f), gradient: second_gradient(f), hessian }
}

/// Gradient of J^a times a scalar of that gradient and value; `g` is that of J, `c` is a / J, `ja` is J^a.
fn scaled_gradient(gradient: &Vec5, value: f64, g: &Vec5, c: f64, ja: f64) -> Vec5 {
    (gradient + g * (c * value)) * ja
}

/// J^a times a scalar, with derivatives; `g` and `h` are those of J, `ja` is J^a.
fn scaled(i: &Scalar, j: f64, g: &Vec5, h: &Mat5, a: f64, ja: f64) -> Scalar {
    let c = a / j;
    let cross = i.gradient * g.transpose();
    Scalar {
        value: ja * i.value,
        gradient: scaled_gradient(&i.gradient, i.value, g, c, ja),
        hessian: (i.hessian
            + (cross + cross.transpose()) * c
            + h * (c * i.value)
            + g * g.transpose() * (a * (a - 1.0) / (j * j) * i.value))
            * ja,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn inverse_cube_roots_are_good_to_the_last_digits() {
        for j in [1e-3, 0.5, 0.979, 0.981, 0.99, 1.0 - 1e-9, 1.0, 1.003, 1.0199, 1.021, 3.0, 1e3] {
            assert_relative_eq!(inverse_cube_root(j), 1.0 / j.cbrt(), max_relative = 1e-15);
        }
    }
}
