/** What a site sets once: wards, sound, colours, whom it calls. Kept as one checked setting. */
import { SiteSettingsSchema, check, type MonitorSite, type SiteSettings } from '@breathline/protocol';
import { Refusal } from '../refusal.ts';
import type { SessionStore } from '../store/session-store.ts';
import { requireFaculty, type Caller } from './access.ts';

const KEY = 'site';

const DEFAULTS: SiteSettings = {
  wards: [],
  inSitu: false,
  soundCapPercent: 100,
  palette: '',
  calls: [],
  wardAlarm: null,
};

export class SiteService {
  readonly #settings: SessionStore;
  #now: SiteSettings = DEFAULTS;

  constructor(settings: SessionStore) {
    this.#settings = settings;
  }

  /** Reads what is kept. What an older version wrote and this one can not read is left alone; the defaults then stand. */
  async load(): Promise<void> {
    const stored = await this.#settings.setting(KEY);
    if (stored === null) return;
    try {
      const checked = check(SiteSettingsSchema, { ...DEFAULTS, ...(JSON.parse(stored) as object) });
      if (checked.ok) this.#now = checked.value;
      else console.error(`The site's settings can not be read (${checked.message}); the defaults stand.`);
    } catch {
      console.error('The site’s settings can not be read; the defaults stand.');
    }
  }

  async read(caller: Caller): Promise<SiteSettings> {
    requireFaculty(caller);
    return this.#now;
  }

  async write(caller: Caller, settings: SiteSettings): Promise<SiteSettings> {
    requireFaculty(caller);
    const ids = settings.calls.map(({ id }) => id);
    const twice = ids.find((id, at) => ids.indexOf(id) !== at);
    if (twice !== undefined) throw new Refusal('bad-shape', `calls has "${twice}" twice: give each its own id.`);
    await this.#settings.setSetting(KEY, JSON.stringify(settings));
    this.#now = settings;
    return settings;
  }

  /** For the server's own use. */
  get now(): SiteSettings {
    return this.#now;
  }

  /** What a learners' screen may know. */
  forMonitor(): MonitorSite {
    const { inSitu, soundCapPercent, palette, wardAlarm } = this.#now;
    return { inSitu, soundCapPercent, palette, wardAlarm };
  }
}
