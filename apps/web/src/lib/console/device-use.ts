/** How an automatic injector was used, as quick choices. What each does to the dose is the patient model's to say. */
import type { DeviceUse } from '@breathline/patient';

interface Choice {
  readonly id: string;
  readonly label: string;
  readonly use: DeviceUse | null;
}

const CHOICES: readonly Choice[] = [
  { id: 'right', label: 'As it should be', use: null },
  { id: 'held-1', label: 'Held 1 s', use: { heldSeconds: 1 } },
  { id: 'held-0', label: 'Taken off at once', use: { heldSeconds: 0 } },
  { id: 'wrong-way-round', label: 'Wrong way round', use: { fault: 'wrong-way-round' } },
  { id: 'misfire', label: 'Misfire', use: { fault: 'misfire' } },
  { id: 'through-thick-clothing', label: 'Through thick clothes', use: { fault: 'through-thick-clothing' } },
  { id: 'expired', label: 'Out of date', use: { fault: 'expired' } },
];

export const DEVICE_USES: readonly { readonly id: string; readonly label: string }[] = CHOICES;

/** The choice with this id. */
export function deviceUseOf(id: string): DeviceUse | null {
  return CHOICES.find((each) => each.id === id)?.use ?? null;
}

/** Which choice this is. */
export function deviceUseId(use: DeviceUse | null): string {
  const same = (each: Choice): boolean =>
    each.use !== null && use !== null && each.use.fault === use.fault && each.use.heldSeconds === use.heldSeconds;
  return use === null ? 'right' : (CHOICES.find(same)?.id ?? 'right');
}
