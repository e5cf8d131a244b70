/**
 * @returns how long this thread has worked so far, in milliseconds: unlike a clock on the wall, what else
 *   the machine is busy with does not count
 */
export function ownTime(): number {
  const { user, system } = process.threadCpuUsage();
  return (user + system) / 1000;
}
