import type { Fault } from "../errors.ts";

/** What the system says of a file or folder that somebody named, in words. */
const REASONS: Readonly<Record<string, string>> = {
  EACCES: "no permission for it",
  EEXIST: "a file where a folder is needed",
  EISDIR: "a folder where a file is needed",
  ENOENT: "nothing there",
  ENOSPC: "no space left for it",
  ENOTDIR: "a path through something that is no folder",
  EPERM: "no permission for it",
  EROFS: "a place that cannot be written",
};

/**
 * The fault of a file or folder that could not be read or written, from the error that the system
 * gave; undefined for any other error.
 */
export function fileFault(error: unknown): Fault | undefined {
  const { code, path, syscall } = (error ?? {}) as NodeJS.ErrnoException;
  const reason = REASONS[code ?? ""];
  if (reason === undefined || path === undefined || syscall === undefined) return undefined;
  const permitted = "one that can be read or written as the command needs it";
  return { path, quantity: "file or folder", permitted, received: reason };
}
