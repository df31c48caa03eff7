/** How each trace is told from the others besides its colour and place: weight, shade and scale. */
import type { TraceLook } from './sweep.ts';
import type { BandId, Co2Unit, TileId, TraceId } from './view.ts';

/** Token of each vital's colour; a site sets its own in static/site.css. */
export const TOKENS: Readonly<Record<BandId | TileId, string>> = {
  heart: '--vital-heart',
  oxygen: '--vital-oxygen',
  breathing: '--vital-breathing',
  co2: '--vital-co2',
  pressure: '--vital-pressure',
  temperature: '--vital-temperature',
  glucose: '--vital-glucose',
};

/** Level drawn across the capnogram, in the unit shown: near the middle of normal. */
export const CO2_LEVEL: Readonly<Record<Co2Unit, { readonly words: string; readonly mmHg: number }>> = {
  mmHg: { words: '40', mmHg: 40 },
  kPa: { words: '5', mmHg: 37.5 },
};

/** Top of the CO2 scale, mmHg: the least step that holds the value with room above. */
export function co2Top(etco2MmHg: number | null): number {
  return etco2MmHg !== null && etco2MmHg > 56 ? 100 : 60;
}

/** The look of a trace. */
export function lookOf(trace: TraceId, co2TopMmHg: number, co2Unit: Co2Unit): TraceLook {
  switch (trace) {
    case 'ecg':
      return { low: -0.6, high: 1.3, lineWidth: 2.25, fillTo: null, levels: [] };
    case 'pleth':
      return { low: -0.06, high: 1.16, lineWidth: 2.25, fillTo: 0, levels: [] };
    case 'breathing':
      return { low: -0.2, high: 1.75, lineWidth: 4, fillTo: null, levels: [] };
    case 'co2':
      return { low: -1, high: co2TopMmHg, lineWidth: 2.25, fillTo: 0, levels: [CO2_LEVEL[co2Unit].mmHg, 0] };
  }
}
