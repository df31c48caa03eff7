/** How this one screen is set up; kept on the device. */
import type { Co2Unit } from './view.ts';

export const ROOMS = ['night', 'bright'] as const;
export type Room = (typeof ROOMS)[number];

/** What this screen shows. `chair`: on a phone beside whoever plays the patient. */
export const LAYOUTS = ['bed', 'numbers', 'small', 'results', 'chair'] as const;
export type Layout = (typeof LAYOUTS)[number];

export const LAYOUT_WORDS: Readonly<Record<Layout, string>> = {
  bed: 'Bedside',
  numbers: 'Big numbers',
  small: 'Small',
  results: 'Results',
  chair: 'Patient in the chair',
};

/** The most this device may sound, whatever the console says. `ward`: next door to real patients. */
export const LOUDNESS = ['off', 'ward', 'room'] as const;
export type Loudness = (typeof LOUDNESS)[number];

const KEY = 'breathline-monitor';

interface Kept {
  room: Room;
  co2Unit: Co2Unit;
  layout: Layout;
  loudness: Loudness;
}

const USUAL: Kept = { room: 'night', co2Unit: 'mmHg', layout: 'bed', loudness: 'ward' };

const oneOf = <T extends string>(list: readonly T[], value: unknown): T | undefined =>
  list.find((each) => each === value);

/** A layout by its name in an address; undefined for anything else. */
export const layoutNamed = (name: string | null): Layout | undefined => oneOf(LAYOUTS, name);

function read(): Kept {
  try {
    const kept = JSON.parse(localStorage.getItem(KEY) ?? '{}') as Partial<Record<keyof Kept, unknown>>;
    return {
      room: oneOf(ROOMS, kept.room) ?? USUAL.room,
      co2Unit: kept.co2Unit === 'kPa' ? 'kPa' : USUAL.co2Unit,
      layout: oneOf(LAYOUTS, kept.layout) ?? USUAL.layout,
      loudness: oneOf(LOUDNESS, kept.loudness) ?? USUAL.loudness,
    };
  } catch {
    return USUAL;
  }
}

export class MonitorSettings {
  room: Room = $state('night');
  co2Unit: Co2Unit = $state('mmHg');
  layout: Layout = $state('bed');
  loudness: Loudness = $state('ward');

  constructor(fixed: Partial<Kept> = {}) {
    const kept = { ...read(), ...fixed };
    this.room = kept.room;
    this.co2Unit = kept.co2Unit;
    this.layout = kept.layout;
    this.loudness = kept.loudness;
  }

  keep(): void {
    const { room, co2Unit, layout, loudness } = this;
    try {
      localStorage.setItem(KEY, JSON.stringify({ room, co2Unit, layout, loudness }));
    } catch {
      // Storage may be barred: the choice then lasts until the page is closed.
    }
  }
}
