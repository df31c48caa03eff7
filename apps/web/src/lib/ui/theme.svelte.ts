/** The screen's theme: follows the system until someone chooses, then keeps the choice on this device. */
export type Theme = 'light' | 'dark';

const KEY = 'breathline-theme';

function read(): Theme {
  return typeof document !== 'undefined' && document.documentElement.dataset['theme'] === 'dark' ? 'dark' : 'light';
}

let theme = $state<Theme>(read());

/** Reactive: re-read canvas colours when it changes. */
export function currentTheme(): Theme {
  return theme;
}

/** Applies a theme; `keep: false` for a screen that has its own (a monitor in a dark room) without changing the choice. */
export function setTheme(next: Theme, options: { keep?: boolean } = {}): void {
  theme = next;
  document.documentElement.dataset['theme'] = next;
  if (options.keep === false) return;
  try {
    localStorage.setItem(KEY, next);
  } catch {
    // Storage may be barred: the choice then lasts until the page is closed.
  }
}

/** Keeps following the system while nothing was chosen. Returns a stop function. */
export function followSystemTheme(): () => void {
  const query = window.matchMedia('(prefers-color-scheme: dark)');
  const onChange = () => {
    let chosen: string | null = null;
    try {
      chosen = localStorage.getItem(KEY);
    } catch {
      // Same as not chosen.
    }
    if (chosen === null) setTheme(query.matches ? 'dark' : 'light', { keep: false });
  };
  query.addEventListener('change', onChange);
  return () => query.removeEventListener('change', onChange);
}
