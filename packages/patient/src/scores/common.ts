/** Shared by all scores: tables of points, checks of observations, refusals. */
import type { RefusalCode, Refused, ScoreId, ScoreItem } from './types.ts';

/** Points from each value on (lower bound inclusive), rising; the first row must start at or below any value taken. */
export type PointTable = readonly (readonly [from: number, points: number])[];

export function pointsFor(table: PointTable, value: number): number {
  let points = table[0]![1];
  for (const [from, given] of table) if (value >= from) points = given;
  return points;
}

export const whole = (value: number): number => Math.round(value);
export const tenth = (value: number): number => Math.round(value * 10) / 10;
export const hundredth = (value: number): number => Math.round(value * 100) / 100;

/** One numeric observation as it must be: its name for people, its bounds, its unit. */
export interface Need {
  readonly key: string;
  readonly label: string;
  readonly low: number;
  readonly high: number;
  readonly unit: string;
}

/** Collects what a score needs; the first thing wrong becomes the refusal. */
export class Observations {
  private found: Refused | null = null;

  constructor(
    readonly score: ScoreId,
    readonly title: string,
    private readonly given: object,
  ) {}

  /** The first thing wrong, or null. */
  get refusal(): Refused | null {
    return this.found;
  }

  refuse(code: RefusalCode, because: string, mend: string): void {
    this.found ??= { ok: false, score: this.score, title: this.title, code, because, mend };
  }

  /** A number within bounds; 0 when refused (the caller returns the refusal and never uses it). */
  number({ key, label, low, high, unit }: Need): number {
    const value: unknown = (this.given as Record<string, unknown>)[key];
    const wanted = `Give ${label} (${key}) as a number from ${low} to ${high}${unit === '' ? '' : ` ${unit}`}.`;
    if (value === undefined || value === null) {
      this.refuse('missing', `${label} was not observed`, wanted);
      return 0;
    }
    if (typeof value !== 'number' || !(value >= low && value <= high)) {
      this.refuse('bad-value', `${label} is ${String(value)}`, wanted);
      return 0;
    }
    return value;
  }

  /** One of the known words. */
  word<W extends string>(key: string, label: string, words: readonly W[]): W {
    const value: unknown = (this.given as Record<string, unknown>)[key];
    const wanted = `Give ${label} (${key}) as one of ${words.join(', ')}.`;
    if (value === undefined || value === null) this.refuse('missing', `${label} was not observed`, wanted);
    else if (!words.includes(value as W)) this.refuse('bad-value', `${label} is “${String(value)}”`, wanted);
    else return value as W;
    return words[0]!;
  }

  /** Yes or no. */
  flag(key: string, label: string): boolean {
    const value: unknown = (this.given as Record<string, unknown>)[key];
    const wanted = `Give ${label} (${key}) as true or false.`;
    if (value === undefined || value === null) this.refuse('missing', `${label} was not observed`, wanted);
    else if (typeof value !== 'boolean') this.refuse('bad-value', `${label} is “${String(value)}”`, wanted);
    return value === true;
  }
}

export const item = (id: string, label: string, value: string, points: number): ScoreItem => ({
  id,
  label,
  value,
  points,
});

export function totalOf(items: readonly ScoreItem[]): number {
  let total = 0;
  for (const each of items) total += each.points;
  return total;
}

/** "5 years", "7 months". */
export function ageWords(ageYears: number): string {
  if (ageYears < 1) {
    const months = Math.floor(ageYears * 12 + 1e-9);
    return months === 1 ? '1 month' : `${months} months`;
  }
  const years = Math.floor(ageYears);
  return years === 1 ? '1 year' : `${years} years`;
}

export const AGE: Need = { key: 'ageYears', label: 'age', low: 0, high: 130, unit: 'years' };
export const RATE: Need = {
  key: 'respiratoryRatePerMin',
  label: 'breathing rate',
  low: 0,
  high: 150,
  unit: '/min',
};
export const SATURATION: Need = { key: 'spo2Percent', label: 'oxygen saturation', low: 0, high: 100, unit: '%' };
export const SYSTOLIC: Need = { key: 'systolicMmHg', label: 'systolic pressure', low: 0, high: 350, unit: 'mmHg' };
