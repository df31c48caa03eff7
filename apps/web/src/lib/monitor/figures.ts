/** The numbers without their traces, for the layouts that show nothing else. Pure. */
import { TOKENS } from './looks.ts';
import type { BandId, ScreenView, TileId } from './view.ts';

export interface Figure {
  readonly id: BandId | TileId;
  readonly label: string;
  readonly unit: string;
  readonly value: string;
  /** A trouble of the signal, how old it is, or what else its device says. */
  readonly note: string | null;
  readonly colour: string;
  readonly attached: boolean;
  readonly absent: string;
}

/** Most wanted first: what a glance from across the room is for. */
const ORDER: readonly (BandId | TileId)[] = [
  'heart',
  'oxygen',
  'pressure',
  'breathing',
  'co2',
  'temperature',
  'glucose',
];

/** Every vital as one number. While no lead is on, the probe's pulse stands in the heart's place, and says so. */
export function figuresOf(view: ScreenView): readonly Figure[] {
  const colour = (id: BandId | TileId): string => `var(${TOKENS[id]})`;
  const oxygen = view.bands.find((band) => band.id === 'oxygen');
  const all: Figure[] = [
    ...view.bands.map(({ id, label, unit, value, note, attached, absent }): Figure => {
      if (id === 'heart' && !attached && oxygen?.attached && oxygen.second) {
        return {
          id,
          label: 'Pulse (oximeter)',
          unit: oxygen.second.unit,
          value: oxygen.second.value,
          note: null,
          colour: colour(id),
          attached: true,
          absent,
        };
      }
      if (id === 'breathing' && !attached) {
        const line = view.bands.find((band) => band.id === 'co2');
        if (line?.attached && line.second)
          return {
            id,
            label: 'Breaths (capnograph)',
            unit: line.second.unit,
            value: line.second.value,
            note: null,
            colour: colour(id),
            attached: true,
            absent,
          };
      }
      return { id, label, unit, value, note, attached, absent, colour: colour(id) };
    }),
    ...view.tiles.map(({ id, label, unit, value, note, age, attached, absent }): Figure => ({
      id,
      label,
      unit,
      value,
      note: [note, age].filter((part) => part !== null).join(', ') || null,
      attached,
      absent,
      colour: colour(id),
    })),
  ];
  return ORDER.flatMap((id) => all.filter((figure) => figure.id === id));
}

/*
 * Legible distance: ISO 9241 asks for characters of at least 16 minutes of arc and prefers 20 to 22 (part 3, as quoted by a
 * maker of displays; NUREG-0700 1.3.1-4 says the same). Digits of this face are
 * 0.67 of their font size (measured).
 */
const DIGIT_SHARE = 0.67;
const LEAST_ARC_RAD = (16 / 60) * (Math.PI / 180);

/** Farthest distance, metres, at which digits of a font size can be read. `mmPerPx`: size of one CSS pixel on the glass. */
export function legibleAtM(fontPx: number, mmPerPx: number): number {
  return (fontPx * DIGIT_SHARE * mmPerPx) / 1000 / LEAST_ARC_RAD;
}

/** A CSS pixel by the book, mm (1/96 inch); a screen's own may be smaller or larger. */
export const CSS_MM_PER_PX = 25.4 / 96;

/** One line for what is not on, where something else is; null when there is nothing to say. */
export function absentWords(figures: readonly Figure[]): string | null {
  const off = figures.filter((figure) => !figure.attached);
  if (off.length === 0 || off.length === figures.length) return null;
  return off.map((figure) => figure.absent).join(' · ');
}
