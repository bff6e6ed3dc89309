/** Seconds and peak memory of each part of a run, as they are printed. */
export class Stages {
  private readonly start = performance.now()
  private last = performance.now()

  /** Ends a stage. The peak is that of the whole process so far. */
  end(name: string): void {
    const now = performance.now()
    this.print(name, now - this.last)
    this.last = now
  }

  total(): void {
    this.print('total', performance.now() - this.start)
    // What the process took before its first line ran: start-up and loading of modules.
    this.print('with start-up', performance.now())
  }

  private print(name: string, milliseconds: number): void {
    const mebibytes = process.resourceUsage().maxRSS / 1024
    console.log(
      `${name.padEnd(14)} ${(milliseconds / 1000).toFixed(3).padStart(9)} s ${mebibytes.toFixed(0).padStart(7)} MiB`,
    )
  }
}
