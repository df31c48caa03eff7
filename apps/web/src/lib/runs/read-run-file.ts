import { ApiError } from '$lib/api/errors.ts';

/** As much as the server takes; past this a file is not one of ours: an hour’s run is a few megabytes. */
export const MAX_RUN_FILE_BYTES = 32 * 1024 * 1024;

/**
 * Reads a chosen file as JSON before it is sent, so that a wrong file is told at once and in words.
 * @throws ApiError RUN_FILE_TOO_BIG, RUN_FILE_NOT_JSON or RUN_FILE_NOT_A_RUN
 */
export async function readRunFile(file: { name: string; size: number; text(): Promise<string> }): Promise<unknown> {
  if (file.size > MAX_RUN_FILE_BYTES) {
    throw new ApiError(
      'RUN_FILE_TOO_BIG',
      'The file is too big',
      `${file.name} is ${Math.round(file.size / 1024 / 1024)} MB; a run is at most 32 MB.`,
      'Choose the file that “Export” gave.',
    );
  }
  let parsed: unknown;
  try {
    parsed = JSON.parse(await file.text());
  } catch (thrown) {
    throw new ApiError(
      'RUN_FILE_NOT_JSON',
      'The file is not a run',
      `${file.name} could not be read as JSON: ${thrown instanceof Error ? thrown.message : 'unknown fault'}.`,
      'Choose the .json file that “Export” gave, unchanged.',
    );
  }
  if (typeof parsed !== 'object' || parsed === null || !('format' in parsed) || parsed.format !== 'breathline-run') {
    throw new ApiError(
      'RUN_FILE_NOT_A_RUN',
      'The file is not a run',
      `${file.name} is JSON but not an exported run: its “format” should be “breathline-run”.`,
      'Choose the .json file that “Export” gave.',
    );
  }
  return parsed;
}
