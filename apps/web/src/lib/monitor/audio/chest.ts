/**
 * What a stethoscope hears, breath by breath and side by side: rustle of air by how much goes in, wheeze in expiration,
 * crackles late in inspiration, stridor over both. The patient's left comes from the right speaker only if the listener
 * faces the patient; here left is left, and the words on the screen name the side. Pitches and lengths lie in the ranges of Kim Y et
 * al. Sci Rep 2021;11:17186, table 1; the rest of the shapes: common practice, no source.
 */
import type { ChestSide, ChestSounds } from '@breathline/protocol';
import { stridorVoice, wheezeVoice } from './played.ts';
import { hush, type Shape } from './voices.ts';

/** One breath, on the audio clock. */
export interface HeardBreath {
  readonly atS: number;
  readonly inspirationS: number;
  readonly expirationS: number;
  /** Size against a quiet breath. */
  readonly size: number;
}

/** Below this nothing is heard, as in the silent chest. */
const SILENT_BELOW = 0.08;

function side(context: BaseAudioContext, out: AudioNode, breath: HeardBreath, heard: ChestSide): void {
  const { atS, inspirationS, expirationS } = breath;
  const air = Math.min(1.4, Math.max(0, heard.airEntry) * Math.min(1.4, breath.size));
  if (heard.airEntry < SILENT_BELOW) return;
  const rise: Shape = [
    [0.5, 0.5 * air],
    [0.85, 0.4 * air],
  ];
  hush(context, out, atS, inspirationS, { type: 'bandpass', hz: 320, q: 0.7 }, rise);
  hush(context, out, atS + inspirationS, expirationS * 0.7, { type: 'bandpass', hz: 240, q: 0.7 }, [
    [0.2, 0.28 * air],
    [0.6, 0.1 * air],
  ]);
  if (heard.wheeze > 0)
    wheezeVoice(context, out, atS + inspirationS, expirationS * 0.9, 0.6 * Math.min(1, heard.wheeze) * Math.sqrt(air));
  const crackles = Math.round(10 * Math.min(1, Math.max(0, heard.crackles)));
  for (let i = 0; i < crackles; i += 1)
    hush(
      context,
      out,
      atS + inspirationS * (0.5 + (0.48 * (i + 0.3 * ((i * 7) % 3))) / Math.max(1, crackles)),
      0.012,
      { type: 'bandpass', hz: 550, q: 1.4 },
      [[0.2, 1.1]],
    );
}

/** Places one breath. `left` and `right` are the listener's ears (or one and the same). */
export function chestVoice(
  context: BaseAudioContext,
  left: AudioNode,
  right: AudioNode,
  breath: HeardBreath,
  chest: ChestSounds,
): void {
  side(context, left, breath, chest.left);
  side(context, right, breath, chest.right);
  if (chest.stridor > 0.05)
    for (const ear of left === right ? [left] : [left, right])
      stridorVoice(context, ear, breath.atS, breath.inspirationS, 0.5 * Math.min(1, chest.stridor));
}
