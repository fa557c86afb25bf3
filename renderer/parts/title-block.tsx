/**
 * What the hands need to know of this step, ruled like the title block of a drawing: fastener, torque,
 * tool, compartment, limits, new item. A cell is left out where there is nothing to say.
 */
import type { Plan, PlanFastener, PlanStep } from '../../electron/core/plan/model.ts';
import type { Settings } from '../../electron/ipc/contract.ts';
import { shownDrive, shownLimits, shownPasses, shownThread, shownTorque } from '../figures.ts';
import { useWords } from '../words/words.ts';
import { DriveDrawing } from './drive-drawing.tsx';

function FastenerCells({ one, units }: { one: PlanFastener; units: Settings['units'] }) {
  const w = useWords();
  const locale = w.language.tag;
  return (
    <>
      <div className="cell fastener">
        <dt>{one.name}</dt>
        <dd>
          <DriveDrawing kind={one.drive.kind} />
          <span>
            <b className="count">{one.count}</b>
            <span className="times"> × </span>
            {shownThread(one, locale)}
            <small> {shownDrive(one.drive, w, locale)}</small>
          </span>
        </dd>
      </div>
      {one.torque_nm === null ? null : (
        <div className="cell">
          <dt>
            {w.bench.torque}
            {one.passes_nm.length > 1 ? `, ${w.bench.passes(one.passes_nm.length)}` : ''}
          </dt>
          <dd>
            {one.passes_nm.length > 1
              ? shownPasses(one.passes_nm, units, locale)
              : shownTorque(one.torque_nm, units, locale)}
          </dd>
        </div>
      )}
      {one.order.length === 0 ? null : (
        <div className="cell">
          <dt>{w.bench.order}</dt>
          <dd className="order figures">{one.order.join(' ')}</dd>
        </div>
      )}
      {one.compartment === null ? null : (
        <div className="cell compartment-cell">
          <dt>{w.bench.compartment}</dt>
          <dd>{one.compartment}</dd>
        </div>
      )}
    </>
  );
}

export function TitleBlock({
  step,
  units,
  names,
}: {
  step: PlanStep;
  units: Settings['units'];
  /** Names of tools and consumables by id, where the plan is at hand. */
  names: ReadonlyMap<string, string>;
}) {
  const w = useWords();
  const name = (id: string): string => names.get(id) ?? id.replaceAll('-', ' ');
  const empty =
    step.fasteners.length === 0 && step.tool === null && step.measure === null && step.renew.length === 0;
  if (empty) return null;
  // The sentence names the tool too; where numbers need the room, it is left to the sentence.
  const crowded =
    step.measure !== null ||
    step.fasteners.length > 1 ||
    step.fasteners.some((one) => one.passes_nm.length > 1);
  return (
    <dl className="title-block">
      {step.fasteners.map((one) => (
        <FastenerCells key={`${one.fastener} ${one.place}`} one={one} units={units} />
      ))}
      {step.tool === null || crowded ? null : (
        <div className="cell">
          <dt>{w.bench.tool}</dt>
          <dd>{name(step.tool)}</dd>
        </div>
      )}
      {step.measure === null ? null : (
        <div className="cell">
          <dt>{step.measure.name}</dt>
          <dd>{shownLimits(step.measure, w, w.language.tag)}</dd>
        </div>
      )}
      {step.renew.length === 0 ? null : (
        <div className="cell">
          <dt>{w.bench.newItem}</dt>
          <dd>{step.renew.map(name).join(', ')}</dd>
        </div>
      )}
    </dl>
  );
}

/** Names of tools and consumables of a plan by id. */
export function namesOf(plan: Plan | null): ReadonlyMap<string, string> {
  if (plan === null) return new Map();
  return new Map([...plan.tools, ...plan.consumables, ...plan.new_parts].map((one) => [one.id, one.name]));
}
