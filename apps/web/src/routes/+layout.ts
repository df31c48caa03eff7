/** The whole client runs in the browser; the server hands out one page and data. */
export const ssr = false;
export const prerender = false;
export const trailingSlash = 'never';
