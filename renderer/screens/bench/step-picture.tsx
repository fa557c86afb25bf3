/** The author's picture of a step with its marked spots; where it cannot be shown, its words stand in. */
import { useState } from 'react';
import type { Picture } from '../../../electron/core/product/model.ts';
import { useWords } from '../../words/words.ts';

/** Where the host serves the pictures that lie beside the product files: /picture/PRODUCT/FILE. */
export function pictureAddress(product: string, file: string): string {
  return `/picture/${[product, ...file.split('/')].map(encodeURIComponent).join('/')}`;
}

/** More spots than these are told by their numbers in the picture; the words then are for screen readers. */
const LEGEND_LINES_MAX = 3;
const LEGEND_LINE_PX = 42;

export function StepPicture({ product, picture }: { product: string; picture: Picture }) {
  const w = useWords();
  const [missing, setMissing] = useState(false);
  const legend = missing || picture.marks.length <= LEGEND_LINES_MAX;
  return (
    <figure
      className="step-picture"
      aria-label={w.bench.picture}
      style={
        { '--legend': legend ? `${picture.marks.length * LEGEND_LINE_PX}px` : '0px' } as React.CSSProperties
      }
    >
      {missing ? null : (
        <div className="picture-frame">
          <img
            src={pictureAddress(product, picture.file)}
            alt={picture.alt}
            onError={() => setMissing(true)}
          />
          {picture.marks.map((mark, i) => (
            <span
              key={mark.label}
              className="picture-mark"
              style={{ left: `${mark.x * 100}%`, top: `${mark.y * 100}%` }}
              aria-hidden="true"
            >
              {i + 1}
            </span>
          ))}
        </div>
      )}
      <figcaption className={legend ? '' : 'unseen'}>
        {missing ? picture.alt : null}
        {picture.marks.map((mark, i) => (
          <span key={mark.label} className="picture-legend">
            <b>{i + 1}</b> {mark.label}
          </span>
        ))}
      </figcaption>
    </figure>
  );
}
