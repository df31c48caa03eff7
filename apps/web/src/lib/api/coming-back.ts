/** What a browser tells of a page or a network that comes back, or goes. */

/**
 * Calls `back` when the network, the page or the device may be back, `away` when the browser says that the network went.
 * Returns the function that stops listening; without a window nothing is told.
 */
export function whenBack(back: () => void, away: () => void): () => void {
  if (typeof window === 'undefined') return () => undefined;
  const visible = (): void => {
    if (document.visibilityState !== 'hidden') back();
  };
  // A page that is loaded shows too; only one that was put away is back.
  const shown = (event: Event): void => {
    if ((event as PageTransitionEvent).persisted) back();
  };
  const ears: readonly (readonly [EventTarget, string, (event: Event) => void])[] = [
    [window, 'online', back],
    [window, 'pageshow', shown],
    [document, 'visibilitychange', visible],
    [document, 'resume', back],
    [window, 'offline', away],
  ];
  for (const [target, name, ear] of ears) target.addEventListener(name, ear);
  return () => {
    for (const [target, name, ear] of ears) target.removeEventListener(name, ear);
  };
}
