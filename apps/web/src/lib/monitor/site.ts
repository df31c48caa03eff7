/** What a site has set for its learners' screens, made safe to use. Pure. */
export interface ScreenSite {
  /** Real patients are near. */
  readonly inSitu: boolean;
  /** No screen is louder than this, 0 to 100. */
  readonly soundCapPercent: number;
  /** Name of a palette of ours; null = the usual. */
  readonly palette: Palette | null;
  /** Pitch of the ward's own alarm, Hz, to stay away from; null = not said. */
  readonly wardAlarmHz: number | null;
}

/** Palettes by name: the usual; fewer hues for one who tells few apart; single-hue for a dim room. */
export const PALETTES = ['plain', 'strong', 'amber'] as const;
export type Palette = (typeof PALETTES)[number];

/** From what the server said at joining; anything odd counts as not said. */
export function siteOf(said: unknown): ScreenSite | null {
  if (typeof said !== 'object' || said === null) return null;
  const { inSitu, soundCapPercent, palette, wardAlarm } = said as Record<string, unknown>;
  const cap = typeof soundCapPercent === 'number' && Number.isFinite(soundCapPercent) ? soundCapPercent : 100;
  const pitch = (wardAlarm as { pitchHz?: unknown } | null | undefined)?.pitchHz;
  return {
    inSitu: inSitu === true,
    soundCapPercent: Math.min(100, Math.max(0, cap)),
    palette: PALETTES.find((name) => name === palette) ?? null,
    wardAlarmHz: typeof pitch === 'number' && pitch > 0 && Number.isFinite(pitch) ? pitch : null,
  };
}

/** Nearer than this to the ward's own pitch could be taken for it, as a ratio: about four semitones. */
const TOO_NEAR = Math.pow(2, 4 / 12);
const HIGHEST_HZ = 1000;

/**
 * A fundamental that can not be taken for the ward's own: as it is, or five semitones above the ward's (below, where above
 * would leave the 150 to 1000 Hz of a fundamental).
 */
export function apartFrom(hz: number, wardHz: number | null): number {
  if (wardHz === null) return hz;
  const ratio = hz > wardHz ? hz / wardHz : wardHz / hz;
  if (ratio >= TOO_NEAR) return hz;
  const step = Math.pow(2, 5 / 12);
  const above = wardHz * step;
  return above <= HIGHEST_HZ ? above : wardHz / step;
}
