/** How loud this screen is. Pure. */
import type { Loudness } from '../settings.svelte.ts';
import type { ScreenSite } from '../site.ts';

/** The most a device sounds. */
const CAP: Readonly<Record<Loudness, number>> = { off: 0, ward: 0.2, room: 0.9 };

/**
 * Loudness as the ear takes it: a fader's square. In situ no screen is louder than the quiet setting.
 *
 * @param inSitu what the run's own board says; the site's rule where it says nothing
 */
export function gainFor(
  volumePercent: number,
  loudness: Loudness,
  site: ScreenSite | null = null,
  inSitu = site?.inSitu ?? false,
): number {
  const asked = Math.min(100, Math.max(0, Number.isFinite(volumePercent) ? volumePercent : 0));
  const v = Math.min(asked, site?.soundCapPercent ?? 100) / 100;
  return v * v * Math.min(CAP[loudness], inSitu ? CAP.ward : CAP.room);
}
