/** Whether this screen can be installed and open without a network, in words. */
export type AppState = 'installed' | 'ready' | 'not-yet' | 'insecure' | 'unsupported';

export function appState(): AppState {
  if (!window.isSecureContext) return 'insecure';
  if (!('serviceWorker' in navigator)) return 'unsupported';
  if (window.matchMedia('(display-mode: standalone), (display-mode: fullscreen)').matches) return 'installed';
  return navigator.serviceWorker.controller ? 'ready' : 'not-yet';
}

export const APP_WORDS: Readonly<Record<AppState, string>> = {
  installed: 'Installed as an app; it opens without a network.',
  ready: 'Kept on this device: it opens without a network, and can be installed from the browser’s menu.',
  'not-yet': 'Being kept on this device; from the next visit it opens without a network.',
  insecure:
    'Opened over plain http: browsers then keep no screen awake and keep no pages, so this one opens only while the server is reached and can not be installed. To mend it for every device, run “npm run certificate” where the server is, start it again, and open this page by https.',
  unsupported: 'This browser keeps no pages: it opens only while the server is reached.',
};
