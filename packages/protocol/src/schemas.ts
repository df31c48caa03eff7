/** Every message and body that crosses between server and screens, one schema each. */
export * from './schemas-events.ts';
export * from './schemas-frames.ts';
export * from './schemas-http.ts';
export * from './schemas-definition.ts';
export * from './schemas-faculty.ts';
export * from './schemas-live.ts';
export * from './schemas-rehearse.ts';
export * from './schemas-site.ts';
export * from './schemas-programme.ts';
