/**
 * Lets Prisma's own command line reach the database through the same JavaScript driver as the server, so that no
 * engine binary has to be downloaded.
 */
import path from 'node:path';
import { PrismaBetterSQLite3 } from '@prisma/adapter-better-sqlite3';
import { defineConfig } from 'prisma/config';

const folder = path.resolve(import.meta.dirname, process.env['BREATHLINE_DATA'] ?? '.data');

export default defineConfig({
  experimental: { adapter: true },
  engine: 'js',
  schema: 'prisma/schema.prisma',
  migrations: { path: 'prisma/migrations' },
  adapter: async () => new PrismaBetterSQLite3({ url: `file:${path.join(folder, 'breathline.db')}` }),
});
