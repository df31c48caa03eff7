// Runs before first paint so that a dark room never gets a white flash. Kept in a file: the page's security policy
// allows no inline script.
(function () {
  var stored = null;
  try {
    stored = localStorage.getItem('breathline-theme');
  } catch {
    // Storage may be barred; follow the system then.
  }
  var dark = window.matchMedia('(prefers-color-scheme: dark)').matches;
  document.documentElement.dataset.theme = stored === 'dark' || stored === 'light' ? stored : dark ? 'dark' : 'light';
})();
