/** Version of the engine's arithmetic. Golden hashes may change only together with it. */
export const ENGINE_VERSION = '0.4.0';

/** Stands on every export and every printed dose or target. */
export const CAUTION =
  'SIMULATION – NOT FOR CLINICAL USE. Training only, not for patient care. Local guidelines and licensed practice prevail.';
