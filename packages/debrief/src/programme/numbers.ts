/**
 * Small numerics shared by the programme's statistics. Plain double arithmetic; each function says its method and source.
 */

/** The two-sided 95 % point of the standard normal distribution. */
export const Z95 = 1.959963984540054;

export function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Sample standard deviation (divisor n − 1); NaN for fewer than two values. */
export function sampleSd(values: readonly number[]): number {
  if (values.length < 2) return NaN;
  const middle = mean(values);
  return Math.sqrt(values.reduce((sum, value) => sum + (value - middle) ** 2, 0) / (values.length - 1));
}

/** Middle value; the mean of the two middle ones for an even count. NaN for none. */
export function median(values: readonly number[]): number {
  return quantile(values, 0.5);
}

/** Quantile by linear interpolation between order statistics (Hyndman & Fan 1996, type 7). NaN for no values. */
export function quantile(values: readonly number[], share: number): number {
  if (values.length === 0) return NaN;
  // A typed array sorts numbers as numbers, and several times as fast: a bootstrap lives on it.
  const sorted = Float64Array.from(values).sort();
  const at = (sorted.length - 1) * share;
  const below = Math.floor(at);
  const low = sorted[below]!;
  const high = sorted[Math.min(below + 1, sorted.length - 1)]!;
  return low + (high - low) * (at - below);
}

/** Natural logarithm of the gamma function for x > 0 (Lanczos approximation, g = 7, nine terms; error below 1e-13). */
export function logGamma(x: number): number {
  const c = [
    0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
    12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
  ];
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - logGamma(1 - x);
  const y = x - 1;
  const t = y + 7.5;
  const sum = c.slice(1).reduce((so, term, i) => so + term / (y + i + 1), c[0]!);
  return 0.5 * Math.log(2 * Math.PI) + (y + 0.5) * Math.log(t) - t + Math.log(sum);
}

/** Regularised incomplete beta function I_x(a, b), by its continued fraction (modified Lentz). */
export function incompleteBeta(x: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x));
  return x < (a + 1) / (a + b + 2) ? (front * betaFraction(x, a, b)) / a : 1 - (front * betaFraction(1 - x, b, a)) / b;
}

function betaFraction(x: number, a: number, b: number): number {
  const tiny = 1e-300;
  let c = 1;
  let d = 1 / nonZero(1 - ((a + b) * x) / (a + 1), tiny);
  let h = d;
  for (let m = 1; m <= 500; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / nonZero(1 + even * d, tiny);
    c = nonZero(1 + even / c, tiny);
    h *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / nonZero(1 + odd * d, tiny);
    c = nonZero(1 + odd / c, tiny);
    const step = d * c;
    h *= step;
    if (Math.abs(step - 1) < 1e-14) break;
  }
  return h;
}

const nonZero = (value: number, tiny: number): number => (Math.abs(value) < tiny ? tiny : value);

/** P(F ≤ f) for the F distribution with d1 and d2 degrees of freedom. */
export function fDistribution(f: number, d1: number, d2: number): number {
  return f <= 0 ? 0 : incompleteBeta((d1 * f) / (d1 * f + d2), d1 / 2, d2 / 2);
}

/** The f with P(F ≤ f) = share, by bisection; 0 < share < 1. */
export function fQuantile(share: number, d1: number, d2: number): number {
  let low = 0;
  let high = 1;
  while (fDistribution(high, d1, d2) < share && high < 1e12) high *= 2;
  for (let i = 0; i < 200 && high - low > 1e-12 * high; i++) {
    const middle = (low + high) / 2;
    if (fDistribution(middle, d1, d2) < share) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** P(X ≤ k) of the binomial distribution. */
export function binomialUpTo(k: number, n: number, p: number): number {
  if (k < 0) return 0;
  if (k >= n) return 1;
  return 1 - incompleteBeta(p, k + 1, n - k);
}

/** P(χ² ≥ x) with one degree of freedom. */
export function chiSquare1Above(x: number): number {
  // χ² with one degree of freedom is the square of a normal; its tail is that of F(1, ∞), reached at large d2.
  return x <= 0 ? 1 : errorFunctionComplement(Math.sqrt(x / 2));
}

/** erfc for x ≥ 0 through the incomplete gamma function: series below 1.5, continued fraction above. */
export function errorFunctionComplement(x: number): number {
  const square = x * x;
  if (x < 1.5) {
    let term = 1 / Math.sqrt(Math.PI);
    let sum = 0;
    for (let n = 0; n < 200; n++) {
      sum += (2 * term * x) / (2 * n + 1);
      term *= -square / (n + 1);
      if (Math.abs(term) < 1e-18) break;
    }
    return 1 - sum;
  }
  let fraction = 0;
  for (let n = 120; n > 0; n--) fraction = n / 2 / (x + fraction);
  return Math.exp(-square) / (Math.sqrt(Math.PI) * (x + fraction));
}
