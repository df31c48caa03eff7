import { fileURLToPath } from 'node:url';
import { sveltekit } from '@sveltejs/kit/vite';
import { defineConfig } from 'vite';

/** Where the server listens while developing; `BREATHLINE_SERVER` points elsewhere. */
const server = process.env['BREATHLINE_SERVER'] ?? 'http://127.0.0.1:4600';

export default defineConfig({
  plugins: [sveltekit()],
  // Workspace packages are TypeScript sources: let Vite transform them as our own code instead of pre-bundling them.
  optimizeDeps: {
    exclude: [
      '@breathline/protocol',
      '@breathline/engine',
      '@breathline/scenario',
      '@breathline/debrief',
      '@breathline/signals',
      '@breathline/patient',
    ],
  },
  server: {
    host: '127.0.0.1',
    port: 5173,
    fs: { allow: [fileURLToPath(new URL('../..', import.meta.url))] },
    proxy: {
      '/api': { target: server, ws: true },
    },
  },
  build: { target: 'es2022' },
});
