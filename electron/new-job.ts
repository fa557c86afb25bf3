/** What a new job is made of: its name and its `job.json`. */
import { hashOfJson } from './core/log/canonical-json.ts';
import type { JobFile } from './core/log/model.ts';
import type { Plan } from './core/plan/model.ts';
import { isJobName } from './disk/job-folder.ts';

/**
 * Name of a job folder: local date and time, product, and a mark that keeps two jobs of one second apart,
 * such as "20260301-093000-wt-3-k4f9". Sorting names sorts by time.
 */
export function jobNameFrom(wall: string, product: string, mark: string): string {
  const stamp = wall.slice(0, 19).replace(/[-:]/g, '').replace('T', '-');
  const name = `${stamp}-${product.slice(0, 60)}-${mark}`;
  return isJobName(name) ? name : `${stamp}-${mark}`;
}

/** The job file of a plan. `created` is RFC 3339. */
export function newJobFile(facts: {
  readonly job: string;
  readonly created: string;
  readonly appVersion: string;
  readonly productFile: string;
  readonly productSha256: string;
  readonly modelSha256: string | null;
  readonly plan: Plan;
}): JobFile {
  return {
    format: 1,
    job: facts.job,
    created: facts.created,
    app_version: facts.appVersion,
    product_file: facts.productFile,
    product_sha256: facts.productSha256,
    model_sha256: facts.modelSha256,
    plan: facts.plan,
    plan_sha256: hashOfJson(facts.plan),
  };
}
