/**
 * Elementary functions that give the same bits in every JavaScript engine.
 *
 * The built-in ones differ in the last bit between engines, which would make a replay drift. These use only
 * + - * / and sqrt (exactly rounded by IEEE 754) plus exact scaling by powers of two. Arguments are dimensionless.
 *
 * Range reductions and minimax coefficients follow FDLIBM 5.3:
 * Copyright (C) 1993, 2004 by Sun Microsystems, Inc. All rights reserved. Permission to use, copy, modify, and
 * distribute this software is freely granted, provided that this notice is preserved.
 */

const LN2_HI = 6.9314718036912381649e-1;
const LN2_LO = 1.90821492927058770002e-10;
const LN2 = 0.6931471805599453;
const INV_LN2 = 1.442695040888963387;
const LOG10_E = 0.4342944819032518;

/** Exact powers of two from 2^-1074 to 2^1023. */
const POWERS = new Float64Array(1074 + 1023 + 1);
{
  POWERS[1074] = 1;
  for (let i = 1075; i < POWERS.length; i++) POWERS[i] = POWERS[i - 1]! * 2;
  for (let i = 1073; i >= 0; i--) POWERS[i] = POWERS[i + 1]! / 2;
}

const BITS = new Float64Array(1);
const WORDS = new Uint32Array(BITS.buffer);
BITS[0] = 1;
/** Which 32-bit half holds the exponent: 1 on little-endian machines. */
const HIGH = WORDS[1] === 0x3ff00000 ? 1 : 0;

/** x * 2^n with one exact or correctly rounded scaling. */
function scale(x: number, n: number): number {
  if (n > 1023) return x * POWERS[1074 + 1023]! * POWERS[1074 + (n - 1023 > 1023 ? 1023 : n - 1023)]!;
  if (n < -1022) {
    const first = x * POWERS[1074 - 969]!;
    const rest = n + 969;
    return first * POWERS[1074 + (rest < -1074 ? -1074 : rest)]!;
  }
  return x * POWERS[1074 + n]!;
}

/** e^(hi - lo) * 2^k for a reduced argument |hi - lo| <= 0.5 ln 2. */
function expReduced(hi: number, lo: number, k: number): number {
  const r = hi - lo;
  const t = r * r;
  const c =
    r -
    t *
      (1.66666666666666019037e-1 +
        t *
          (-2.77777777770155933842e-3 +
            t * (6.61375632143793436117e-5 + t * (-1.6533902205465251539e-6 + t * 4.13813679705723846039e-8))));
  const y = k === 0 && lo === 0 ? 1 - ((r * c) / (c - 2) - r) : 1 - (lo - (r * c) / (2 - c) - hi);
  return k === 0 ? y : scale(y, k);
}

/**
 * Argument and result of `expCell` and `lnCell`. Engines box a number that crosses a call they do not inline; a cell of a
 * typed array crosses for nothing, which keeps the patient's step free of garbage.
 */
export const CELL = new Float64Array(1);

/** e^x. Overflows to Infinity above 709.78, underflows to 0 below -745.13. */
export function exp(x: number): number {
  CELL[0] = x;
  expCell();
  return CELL[0];
}

/** `exp` of `CELL[0]`, into `CELL[0]`. */
export function expCell(): void {
  const x = CELL[0]!;
  if (x !== x) return;
  if (x > 709.782712893384) CELL[0] = Infinity;
  else if (x < -745.1332191019411) CELL[0] = 0;
  else {
    const k = Math.floor(x * INV_LN2 + 0.5);
    CELL[0] = expReduced(x - k * LN2_HI, k * LN2_LO, k);
  }
}

/** Exponent and mantissa of the last `split` call: x = mantissa * 2^exponent, mantissa in [sqrt(1/2), sqrt(2)). */
let splitExponent = 0;
const MANTISSA = new Float64Array(1);

function split(x: number): void {
  let k = 0;
  let v = x;
  if (v < 2.2250738585072014e-308) {
    v *= 18014398509481984; // 2^54 lifts subnormals into the normal range exactly
    k = -54;
  }
  BITS[0] = v;
  const high = WORDS[HIGH]!;
  k += (high >>> 20) - 1023;
  WORDS[HIGH] = (high & 0x000fffff) | 0x3ff00000;
  let m = BITS[0]!;
  if (m >= 1.4142135623730951) {
    m /= 2;
    k += 1;
  }
  splitExponent = k;
  MANTISSA[0] = m;
}

/** f - ln(1+f) so that ln(1+f) = f - logTail(f), for 1+f in [sqrt(1/2), sqrt(2)). */
function logTail(f: number): number {
  const s = f / (2 + f);
  const z = s * s;
  const w = z * z;
  const t1 = w * (3.999999999940941908e-1 + w * (2.222219843214978396e-1 + w * 1.531383769920937332e-1));
  const t2 =
    z *
    (6.66666666666673513e-1 +
      w * (2.857142874366239149e-1 + w * (1.818357216161805012e-1 + w * 1.479819860511658591e-1)));
  const half = 0.5 * f * f;
  return half - s * (half + t1 + t2);
}

/** Natural logarithm. -Infinity at 0, NaN below. */
export function ln(x: number): number {
  CELL[0] = x;
  lnCell();
  return CELL[0];
}

/** `ln` of `CELL[0]`, into `CELL[0]`. */
export function lnCell(): void {
  const x = CELL[0]!;
  if (x !== x || x < 0) CELL[0] = NaN;
  else if (x === 0) CELL[0] = -Infinity;
  else if (x !== Infinity) {
    split(x);
    const k = splitExponent;
    const f = MANTISSA[0]! - 1;
    CELL[0] = k * LN2_HI - (logTail(f) - k * LN2_LO - f);
  }
}

/** Base-10 logarithm. */
export function log10(x: number): number {
  return ln(x) * LOG10_E;
}

/**
 * x^y for x >= 0 (NaN for negative x unless y is an integer). The power of two in x is carried apart from the rest, so
 * the relative error stays near 1e-16 * (1 + |y|).
 */
export function pow(x: number, y: number): number {
  if (y === 0) return 1;
  if (x !== x || y !== y) return NaN;
  if (x === 1) return 1;
  if (x === 0) return y > 0 ? 0 : Infinity;
  if (x < 0) {
    if (y !== Math.floor(y)) return NaN;
    const positive = pow(-x, y);
    return Math.floor(y / 2) * 2 === y ? positive : -positive;
  }
  if (x === Infinity) return y > 0 ? Infinity : 0;
  if (y === Infinity || y === -Infinity) return x > 1 === y > 0 ? Infinity : 0;
  split(x);
  const f = MANTISSA[0]! - 1;
  // The top 26 bits of y times an 11-bit exponent is exact, so only the small remainders round.
  const veltkamp = y * 134217729;
  const yHi = y < 1e290 && y > -1e290 ? veltkamp - (veltkamp - y) : y;
  const two = yHi * splitExponent;
  const whole = Math.floor(two + 0.5);
  const rest = (two - whole) * LN2 + ((y - yHi) * splitExponent * LN2 + y * (f - logTail(f)));
  const k = Math.floor(rest * INV_LN2 + 0.5);
  const n = whole + k;
  if (n > 1025) return Infinity;
  if (n < -1080) return 0;
  return expReduced(rest - k * LN2_HI, k * LN2_LO, n);
}

/** Hyperbolic tangent: Lambert's continued fraction near 0, exponentials elsewhere. */
export function tanh(x: number): number {
  const a = x < 0 ? -x : x;
  if (a < 1) {
    const q = x * x;
    return x / (1 + q / (3 + q / (5 + q / (7 + q / (9 + q / (11 + q / (13 + q / (15 + q / (17 + q / 19)))))))));
  }
  if (a > 22) return x < 0 ? -1 : x !== x ? x : 1;
  const t = 1 - 2 / (exp(2 * a) + 1);
  return x < 0 ? -t : t;
}
