/** SHA-256 of text as lower-case hex, in plain arithmetic. NIST FIPS 180-4. For pinning a library, not for secrets. */

/** First 32 bits of the fractional parts of the square (initial) and cube (round) roots of the first primes. */
const { INITIAL, ROUND } = constants();

function constants(): { INITIAL: readonly number[]; ROUND: readonly number[] } {
  const primes: number[] = [];
  for (let n = 2; primes.length < 64; n += 1) if (primes.every((prime) => n % prime !== 0)) primes.push(n);
  return { INITIAL: primes.slice(0, 8).map((p) => rootBits(p, 2n)), ROUND: primes.map((p) => rootBits(p, 3n)) };
}

/** Exact integer root: floor(p^(1/k) * 2^32) mod 2^32. */
function rootBits(prime: number, k: bigint): number {
  const target = BigInt(prime) << (32n * k);
  let low = 0n;
  let high = 1n << 40n;
  while (low < high) {
    const middle = (low + high + 1n) >> 1n;
    if (middle ** k <= target) low = middle;
    else high = middle - 1n;
  }
  return Number(low & 0xffffffffn);
}

function utf8(text: string): number[] {
  const bytes: number[] = [];
  for (const character of text) {
    const code = character.codePointAt(0)!;
    if (code < 0x80) bytes.push(code);
    else if (code < 0x800) bytes.push(0xc0 | (code >> 6), 0x80 | (code & 63));
    else if (code < 0x10000) bytes.push(0xe0 | (code >> 12), 0x80 | ((code >> 6) & 63), 0x80 | (code & 63));
    else bytes.push(0xf0 | (code >> 18), 0x80 | ((code >> 12) & 63), 0x80 | ((code >> 6) & 63), 0x80 | (code & 63));
  }
  return bytes;
}

const turn = (x: number, n: number): number => (x >>> n) | (x << (32 - n));

/** SHA-256 of the UTF-8 bytes of `text`. */
export function sha256(text: string): string {
  const bytes = utf8(text);
  const bits = bytes.length * 8;
  bytes.push(0x80);
  while (bytes.length % 64 !== 56) bytes.push(0);
  const high = Math.floor(bits / 0x100000000);
  for (const word of [high, bits >>> 0]) bytes.push(word >>> 24, (word >>> 16) & 255, (word >>> 8) & 255, word & 255);
  const hash = INITIAL.slice();
  const w = new Array<number>(64).fill(0);
  for (let at = 0; at < bytes.length; at += 64) {
    for (let i = 0; i < 16; i += 1) {
      const j = at + i * 4;
      w[i] = (bytes[j]! << 24) | (bytes[j + 1]! << 16) | (bytes[j + 2]! << 8) | bytes[j + 3]!;
    }
    for (let i = 16; i < 64; i += 1) {
      const a = w[i - 15]!;
      const b = w[i - 2]!;
      const s0 = turn(a, 7) ^ turn(a, 18) ^ (a >>> 3);
      const s1 = turn(b, 17) ^ turn(b, 19) ^ (b >>> 10);
      w[i] = (w[i - 16]! + s0 + w[i - 7]! + s1) | 0;
    }
    let [a, b, c, d, e, f, g, h] = hash as [number, number, number, number, number, number, number, number];
    for (let i = 0; i < 64; i += 1) {
      const t1 = (h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + ROUND[i]! + w[i]!) | 0;
      const t2 = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
      [h, g, f, e, d, c, b, a] = [g, f, e, (d + t1) | 0, c, b, a, (t1 + t2) | 0];
    }
    [a, b, c, d, e, f, g, h].forEach((value, i) => (hash[i] = (hash[i]! + value) | 0));
  }
  return hash.map((word) => (word >>> 0).toString(16).padStart(8, '0')).join('');
}

/** JSON with keys sorted and `undefined` left out: equal data, equal text. */
export function canonicalJson(value: unknown): string {
  if (value === null || typeof value !== 'object') return JSON.stringify(value) ?? 'null';
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`;
  const entries = Object.entries(value as Record<string, unknown>)
    .filter(([, item]) => item !== undefined)
    .sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0));
  return `{${entries.map(([key, item]) => `${JSON.stringify(key)}:${canonicalJson(item)}`).join(',')}}`;
}
