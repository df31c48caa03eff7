/** Keeps the screen awake where the browser allows it (a secure page), and says when it can't. */
export type WakeState = 'held' | 'refused' | 'unsupported' | 'waiting';

export class WakeLock {
  state: WakeState = $state('waiting');
  #lock: WakeLockSentinel | null = null;

  #ask = async (): Promise<void> => {
    if (!('wakeLock' in navigator)) {
      this.state = 'unsupported';
      return;
    }
    if (document.visibilityState !== 'visible' || this.#lock) return;
    try {
      const lock = await navigator.wakeLock.request('screen');
      this.#lock = lock;
      this.state = 'held';
      lock.addEventListener('release', () => {
        this.#lock = null;
        this.state = 'waiting';
      });
    } catch {
      this.state = 'refused';
    }
  };

  /** Begins; the browser lets go when the page is hidden, so it is asked again each time the page comes back. */
  start(): () => void {
    document.addEventListener('visibilitychange', this.#ask);
    void this.#ask();
    return () => {
      document.removeEventListener('visibilitychange', this.#ask);
      void this.#lock?.release();
    };
  }
}

/** Words for the setting-up panel. */
export const WAKE_WORDS: Readonly<Record<WakeState, string>> = {
  held: 'This screen is being kept awake.',
  waiting: 'Asking the browser to keep this screen awake.',
  refused: 'The browser will not keep this screen awake: switch off this device’s own screen timeout in its settings.',
  unsupported: 'This screen is not kept awake: switch off this device’s own screen timeout in its settings.',
};
