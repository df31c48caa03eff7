/**
 * A screen that is older than the server's: kept by this device, or left open while the server was renewed. It loads the new
 * one by itself where nobody loses anything by that, and never while a run is under way.
 */

/** What the page is, has and can do. */
export interface ScreenPage {
  /** The server has another build of the screens than this one. False when it can not be asked. */
  isOld(): Promise<boolean>;
  underWay(): boolean;
  /** Console, monitor or crew's phone: what is typed or tapped there is kept over a loading. */
  isDrillScreen(): boolean;
  /** Since it was loaded, ms. */
  ageMs(): number;
  /** Tells when this tab loaded anew by itself last, ms since 1970; null = never. */
  loadedAnewAtMs(): number | null;
  loadAnew(): void;
  /** Says that there is a newer one, for a person to choose the moment. */
  offer(): void;
}

/** Nobody has begun anything on a page this young. */
const JUST_OPENED_MS = 15_000;
/** A device that gets the old page again and again is not to go round in circles. */
const NOT_AGAIN_MS = 60_000;

export class NewerScreen {
  readonly #page: ScreenPage;
  readonly #nowMs: () => number;
  #offered = false;
  #asking: Promise<void> | null = null;

  constructor(page: ScreenPage, nowMs: () => number = Date.now) {
    this.#page = page;
    this.#nowMs = nowMs;
  }

  /** Looks once; again while it looks is the same look. */
  look(): Promise<void> {
    this.#asking ??= this.#look().finally(() => {
      this.#asking = null;
    });
    return this.#asking;
  }

  async #look(): Promise<void> {
    const page = this.#page;
    if (page.underWay() || !(await page.isOld()) || page.underWay()) return;
    if (page.isDrillScreen() || page.ageMs() < JUST_OPENED_MS) this.now();
    else if (!this.#offered) {
      this.#offered = true;
      page.offer();
    }
  }

  /** Loads the new one, unless that was just tried. */
  now(): void {
    const last = this.#page.loadedAnewAtMs();
    if (last !== null && this.#nowMs() - last < NOT_AGAIN_MS) return;
    this.#page.loadAnew();
  }
}
