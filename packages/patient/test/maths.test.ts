import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { atan2, cos, createRandom, exp, ln, log10, pow, sin, tanh } from '../src/maths/index.ts';

/** Relative error, or absolute where the true value is below 1e-300. */
function error(got: number, want: number): number {
  if (Object.is(got, want) || got === want) return 0;
  return Math.abs(got - want) / Math.max(Math.abs(want), 1e-300);
}

const within = (lo: number, hi: number) => fc.double({ min: lo, max: hi, noNaN: true });

describe('maths agrees with the built-in functions', () => {
  it('exp to 4e-16 relative', () => {
    fc.assert(
      fc.property(within(-700, 700), (x) => error(exp(x), Math.exp(x)) < 4e-16),
      { numRuns: 4000 },
    );
    expect(exp(0)).toBe(1);
    expect(exp(800)).toBe(Infinity);
    expect(exp(-800)).toBe(0);
    expect(exp(-740)).toBeCloseTo(Math.exp(-740), 322);
    expect(exp(NaN)).toBeNaN();
  });
  it('ln and log10 to 5e-16 relative', () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-300, max: 1e300, noNaN: true }), (x) => error(ln(x), Math.log(x)) < 5e-16),
      { numRuns: 4000 },
    );
    fc.assert(
      fc.property(
        within(0.01, 1000),
        (x) => Math.abs(ln(x) - Math.log(x)) < 1e-15 && error(log10(x), Math.log10(x)) < 6e-16,
      ),
      { numRuns: 4000 },
    );
    expect(ln(1)).toBe(0);
    expect(ln(0)).toBe(-Infinity);
    expect(ln(-1)).toBeNaN();
    expect(error(ln(5e-320), Math.log(5e-320))).toBeLessThan(1e-15);
  });
  it('pow to 2e-15 relative for exponents up to 10', () => {
    fc.assert(
      fc.property(within(1e-6, 1e6), within(-10, 10), (x, y) => error(pow(x, y), Math.pow(x, y)) < 2e-15),
      { numRuns: 4000 },
    );
    expect(pow(2, 10)).toBe(1024);
    expect(pow(0, 3)).toBe(0);
    expect(pow(-2, 3)).toBeCloseTo(-8, 14);
    expect(pow(-2, 0.5)).toBeNaN();
    expect(pow(10, 400)).toBe(Infinity);
  });
  it('sin and cos to 4e-16 absolute', () => {
    fc.assert(
      fc.property(
        within(-1e4, 1e4),
        (x) => Math.abs(sin(x) - Math.sin(x)) < 4e-16 && Math.abs(cos(x) - Math.cos(x)) < 4e-16,
      ),
      { numRuns: 4000 },
    );
    expect(sin(0)).toBe(0);
    expect(cos(0)).toBe(1);
    expect(sin(Infinity)).toBeNaN();
  });
  it('tanh and atan2 to 1e-15 relative', () => {
    fc.assert(
      fc.property(within(-30, 30), (x) => error(tanh(x), Math.tanh(x)) < 1e-15),
      { numRuns: 4000 },
    );
    fc.assert(
      fc.property(within(-1e3, 1e3), within(-1e3, 1e3), (y, x) => Math.abs(atan2(y, x) - Math.atan2(y, x)) < 1e-15),
      { numRuns: 4000 },
    );
    expect(atan2(0, -1)).toBe(Math.PI);
    expect(atan2(1, 0)).toBe(Math.PI / 2);
  });
});

describe('createRandom', () => {
  it('repeats from a copied state and stays in 0..1', () => {
    const a = createRandom(42);
    for (let i = 0; i < 10; i++) a.next();
    const b = createRandom(0);
    b.state = a.state;
    for (let i = 0; i < 1000; i++) {
      const v = a.next();
      expect(v).toBe(b.next());
      expect(v).toBeGreaterThanOrEqual(0);
      expect(v).toBeLessThan(1);
    }
  });
  it('is even over ten bins and uncorrelated from draw to draw', () => {
    const r = createRandom(7);
    const bins = new Array<number>(10).fill(0);
    let last = r.next();
    let product = 0;
    const n = 100_000;
    for (let i = 0; i < n; i++) {
      const v = r.next();
      bins[Math.floor(v * 10)]! += 1;
      product += (v - 0.5) * (last - 0.5);
      last = v;
    }
    // Chi-squared with 9 degrees of freedom: 27.9 is exceeded once in a thousand.
    const chi = bins.reduce((sum, got) => sum + ((got - n / 10) * (got - n / 10)) / (n / 10), 0);
    expect(chi).toBeLessThan(27.9);
    expect(Math.abs((product / n) * 12)).toBeLessThan(0.01);
  });
});
