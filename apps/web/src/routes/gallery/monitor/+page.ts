import { error } from '@sveltejs/kit';
import { dev } from '$app/environment';

/** Made-up frames are for building the screen; a built site has no such page. */
export function load(): void {
  if (!dev) error(404, 'No such page.');
}
