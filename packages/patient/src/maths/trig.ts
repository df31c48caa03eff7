/**
 * Sine, cosine and arctangent with the same bits in every engine. Angles in radians. Range reduction is exact enough
 * (about 1e-16 absolute) for |x| up to 1e5, far beyond what a simulation clock in cycles needs.
 * Coefficients follow FDLIBM 5.3 (notice in elementary.ts).
 */

const PIO2_1 = 1.5707963267341256;
const PIO2_2 = 6.077100506303966e-11;
const PIO2_2T = 2.0222662487959506e-21;
const TWO_OVER_PI = 0.6366197723675814;
const PI = 3.141592653589793;
const PI_LO = 1.2246467991473532e-16;

function kernelSin(x: number, y: number): number {
  const z = x * x;
  const v = z * x;
  const r =
    8.33333333332248946124e-3 +
    z *
      (-1.98412698298579493134e-4 +
        z * (2.75573137070700676789e-6 + z * (-2.50507602534068634195e-8 + z * 1.58969099521155010221e-10)));
  return x - (z * (0.5 * y - v * r) - y - v * -1.66666666666666324348e-1);
}

function kernelCos(x: number, y: number): number {
  const z = x * x;
  const r =
    z *
    (4.16666666666666019037e-2 +
      z *
        (-1.38888888888741095749e-3 +
          z *
            (2.48015872894767294178e-5 +
              z * (-2.75573143513906633035e-7 + z * (2.0875723212981748279e-9 + z * -1.13596475577881948265e-11)))));
  const half = 0.5 * z;
  const w = 1 - half;
  return w + (1 - w - half + (z * r - x * y));
}

let reducedHi = 0;
let reducedLo = 0;

/** Leaves x - n pi/2 in reducedHi + reducedLo and returns n mod 4. */
function reduce(x: number): number {
  const n = Math.floor(x * TWO_OVER_PI + 0.5);
  let r = x - n * PIO2_1;
  let w: number;
  // A second slice of pi/2 keeps the tail when the first subtraction cancels.
  const t = r;
  w = n * PIO2_2;
  r = t - w;
  w = n * PIO2_2T - (t - r - w);
  reducedHi = r - w;
  reducedLo = r - reducedHi - w;
  const quarter = n - Math.floor(n / 4) * 4;
  return quarter;
}

/** Sine of x radians. */
export function sin(x: number): number {
  if (!(x < 1e9 && x > -1e9)) return NaN;
  const q = reduce(x);
  if (q === 0) return kernelSin(reducedHi, reducedLo);
  if (q === 1) return kernelCos(reducedHi, reducedLo);
  if (q === 2) return -kernelSin(reducedHi, reducedLo);
  return -kernelCos(reducedHi, reducedLo);
}

/** Cosine of x radians. */
export function cos(x: number): number {
  if (!(x < 1e9 && x > -1e9)) return NaN;
  const q = reduce(x);
  if (q === 0) return kernelCos(reducedHi, reducedLo);
  if (q === 1) return -kernelSin(reducedHi, reducedLo);
  if (q === 2) return -kernelCos(reducedHi, reducedLo);
  return kernelSin(reducedHi, reducedLo);
}

/** Arctangent of x >= 0. */
function atanPositive(value: number): number {
  let x = value;
  let hi = 0;
  let lo = 0;
  let direct = false;
  if (x > 1e17) return 1.5707963267948966;
  if (x < 0.4375) direct = true;
  else if (x < 0.6875) {
    x = (2 * x - 1) / (2 + x);
    hi = 4.63647609000806093515e-1;
    lo = 2.26987774529616870924e-17;
  } else if (x < 1.1875) {
    x = (x - 1) / (x + 1);
    hi = 7.85398163397448278999e-1;
    lo = 3.06161699786838301793e-17;
  } else if (x < 2.4375) {
    x = (x - 1.5) / (1 + 1.5 * x);
    hi = 9.82793723247329054082e-1;
    lo = 1.39033110312309984516e-17;
  } else {
    x = -1 / x;
    hi = 1.5707963267948966;
    lo = 6.12323399573676603587e-17;
  }
  const z = x * x;
  const w = z * z;
  const s1 =
    z *
    (3.33333333333329318027e-1 +
      w *
        (1.42857142725034663711e-1 +
          w *
            (9.09088713343650656196e-2 +
              w * (6.66107313738753120669e-2 + w * (4.97687799461593236017e-2 + w * 1.62858201153657823623e-2)))));
  const s2 =
    w *
    (-1.99999999998764832476e-1 +
      w *
        (-1.1111110405462355788e-1 +
          w * (-7.69187620504482999495e-2 + w * (-5.83357013379057348645e-2 + w * -3.6531572744216915527e-2))));
  if (direct) return x - x * (s1 + s2);
  return hi - (x * (s1 + s2) - lo - x);
}

/** Angle of the point (x, y), -pi to pi, with the signs of zero that IEEE 754 gives. */
export function atan2(y: number, x: number): number {
  if (x !== x || y !== y) return NaN;
  const ay = y < 0 ? -y : y;
  const ax = x < 0 ? -x : x;
  if (ay === 0) {
    const minus = Object.is(y, -0);
    return x < 0 || Object.is(x, -0) ? (minus ? -PI : PI) : y;
  }
  if (ax === 0) return y < 0 ? -PI / 2 : PI / 2;
  const a = atanPositive(ay / ax);
  const signed = x < 0 ? PI - (a - PI_LO) : a;
  return y < 0 ? -signed : signed;
}
