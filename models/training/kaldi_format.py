"""Writes the binary format that the recogniser's decoder loads (`am/final.mdl`), and reads it back.

Only what our network needs: the transition model of a one-state "chain" topology, and nnet3
components for affine maps, time-delay layers, rectifiers, batch norms and scaled sums.
"""

import io
import struct

import numpy as np

from network import SKIP_SCALE, WIDTH, context
from phone_set import PHONE_INDEX, PHONES

POSITIONS = [("_B", "begin"), ("_E", "end"), ("_I", "internal"), ("_S", "singleton")]


def phone_table() -> list[tuple[str, str, int]]:
    """(name, word position, base phone) of every phone of the graph; its id is the index plus one."""
    table = [("SIL", "nonword", 0), ("SPN", "nonword", 1)]
    for phone in PHONES:
        table += [(phone + mark, position, PHONE_INDEX[phone]) for mark, position in POSITIONS]
    return table


class Writer:
    def __init__(self) -> None:
        self.out = io.BytesIO()

    def token(self, text: str) -> None:
        self.out.write(text.encode() + b" ")

    def int(self, value: int) -> None:
        self.out.write(b"\x04" + struct.pack("<i", int(value)))

    def float(self, value: float) -> None:
        self.out.write(b"\x04" + struct.pack("<f", float(value)))

    def bool(self, value: bool) -> None:
        self.out.write(b"T" if value else b"F")

    def ints(self, values) -> None:
        values = np.asarray(list(values), "<i4")
        self.out.write(b"\x04" + struct.pack("<i", len(values)) + values.tobytes())

    def vector(self, values) -> None:
        values = np.ascontiguousarray(values, "<f4")
        self.token("FV")
        self.int(len(values))
        self.out.write(values.tobytes())

    def matrix(self, values) -> None:
        """16-bit compressed matrix: minimum, range, rows, columns, and 0…65535 in between."""
        values = np.ascontiguousarray(values, "f4")
        low = float(values.min())
        spread = float(values.max() - low) or 1e-5
        steps = np.clip(np.round((values - low) / spread * 65535), 0, 65535).astype("<u2")
        self.token("CM2")
        self.out.write(struct.pack("<ffii", low, spread, *values.shape) + steps.tobytes())


def write_transition_model(w: Writer) -> None:
    table = phone_table()
    count = len(table)
    w.token("<TransitionModel>")
    w.token("<Topology>")
    w.ints(range(1, count + 1))
    w.ints([-1] + [0] * count)
    w.int(-1)  # not a plain HMM: a state has two output classes
    w.int(1)
    w.int(2)
    w.int(0), w.int(1)  # state 0: class 0 when entered, class 1 on the self-loop
    w.int(2)
    w.int(0), w.float(0.5)
    w.int(1), w.float(0.5)
    w.int(-1), w.int(-1), w.int(0)  # the final state
    w.token("</Topology>")
    w.token("<Tuples>")
    w.int(count)
    for index, (_, _, base) in enumerate(table):
        for value in (index + 1, 0, 2 * base, 2 * base + 1):
            w.int(value)
    w.token("</Tuples>")
    w.token("<LogProbs>")
    w.vector(np.concatenate([[0.0], np.full(2 * count, np.log(0.5))]))
    w.token("</LogProbs>")
    w.token("</TransitionModel>")


class ComponentList:
    """Collects components and the configuration lines that wire them together."""

    def __init__(self) -> None:
        self.config = ["", "input-node name=input dim=40"]
        self.components: list[tuple] = []

    def add(self, kind: str, name: str, source: str, *values) -> str:
        self.components.append((kind, name, *values))
        self.config.append(f"component-node name={name} component={name} input={source}")
        return name


def write_component(w: Writer, kind: str, values: tuple) -> None:
    if kind == "affine":
        weight, bias = values
        w.token("<FixedAffineComponent>")
        w.token("<LinearParams>"), w.matrix(weight)
        w.token("<BiasParams>"), w.vector(bias)
        w.token("</FixedAffineComponent>")
    elif kind == "time-delay":
        weight, bias, offsets = values
        w.token("<TdnnComponent>")
        w.token("<LearningRate>"), w.float(1e-4)
        w.token("<TimeOffsets>"), w.ints(offsets)
        w.token("<LinearParams>"), w.matrix(weight)
        w.token("<BiasParams>"), w.vector(bias)
        w.token("<OrthonormalConstraint>"), w.float(0)
        w.token("<UseNaturalGradient>"), w.bool(True)
        w.token("<NumSamplesHistory>"), w.float(2000.0)
        w.token("<AlphaInOut>"), w.float(4), w.float(4)
        w.token("<RankInOut>"), w.int(20), w.int(32)
        w.token("</TdnnComponent>")
    elif kind == "rectifier":
        w.token("<RectifiedLinearComponent>")
        w.token("<Dim>"), w.int(values[0])
        for name in ("<ValueAvg>", "<DerivAvg>"):
            w.token(name), w.vector([])
        w.token("<Count>"), w.float(0)
        w.token("<OderivRms>"), w.vector([])
        for name in ("<OderivCount>", "<NumDimsSelfRepaired>", "<NumDimsProcessed>"):
            w.token(name), w.float(0)
        w.token("</RectifiedLinearComponent>")
    elif kind == "norm":
        mean, variance = values
        w.token("<BatchNormComponent>")
        w.token("<Dim>"), w.int(len(mean))
        w.token("<BlockDim>"), w.int(len(mean))
        w.token("<Epsilon>"), w.float(1e-3)
        w.token("<TargetRms>"), w.float(1)
        w.token("<TestMode>"), w.bool(False)
        w.token("<Count>"), w.float(1e5)
        w.token("<StatsMean>"), w.vector(mean)
        w.token("<StatsVar>"), w.vector(variance)
        w.token("</BatchNormComponent>")
    else:
        w.token("<NoOpComponent>")
        w.token("<Dim>"), w.int(values[0])
        w.token("<BackpropScale>"), w.float(1)
        w.token("</NoOpComponent>")


def model_bytes(state: dict[str, np.ndarray], layers, width: int = WIDTH) -> bytes:
    """The whole `final.mdl` for a state dictionary of `AcousticNetwork` (second head left out)."""
    nodes = ComponentList()

    def rectified(name: str, source: str, norm: str) -> str:
        source = nodes.add("rectifier", f"{name}.relu", source, width)
        return nodes.add("norm", f"{name}.batchnorm", source, state[f"{norm}.running_mean"], state[f"{norm}.running_var"])

    spliced = "Append(Offset(input, -1), input, Offset(input, 1))"
    node = nodes.add("affine", "tdnn1.affine", spliced, state["tdnn1.weight"], state["tdnn1.bias"])
    node = rectified("tdnn1", node, "bn1")
    for index, (linear, affine) in enumerate(layers):
        name, key = f"tdnnf{index + 2}", f"f.{index}"
        inner = nodes.add("time-delay", f"{name}.linear", node, state[f"{key}.lin.weight"], [], linear)
        inner = nodes.add("time-delay", f"{name}.affine", inner, state[f"{key}.aff.weight"], state[f"{key}.aff.bias"], affine)
        rectified(name, inner, f"{key}.bn")
        node = nodes.add("sum", f"{name}.noop", f"Sum(Scale({SKIP_SCALE}, {node}), {name}.batchnorm)", width)
    narrow = state["pl.weight"].shape[0]
    node = nodes.add("affine", "prefinal-l", node, state["pl.weight"], np.zeros(narrow))
    node = nodes.add("affine", "prefinal-chain.affine", node, state["pa.weight"], state["pa.bias"])
    node = rectified("prefinal-chain", node, "bn2")
    node = nodes.add("affine", "prefinal-chain.linear", node, state["p2.weight"], np.zeros(narrow))
    node = nodes.add("norm", "prefinal-chain.batchnorm2", node, state["bn3.running_mean"], state["bn3.running_var"])
    nodes.add("affine", "output.affine", node, state["out.weight"], state["out.bias"])
    nodes.config += ["output-node name=output input=output.affine objective=linear", "", ""]

    w = Writer()
    w.out.write(b"\0B")
    write_transition_model(w)
    w.token("<Nnet3>")
    w.out.write("\n".join(nodes.config).encode())
    w.token("<NumComponents>"), w.int(len(nodes.components))
    for kind, name, *values in nodes.components:
        w.token("<ComponentName>"), w.token(name)
        write_component(w, kind, tuple(values))
    w.token("</Nnet3>")
    left, right = context(layers)
    w.token("<LeftContext>"), w.int(left)
    w.token("<RightContext>"), w.int(right)
    w.token("<Priors>"), w.vector([])
    return w.out.getvalue()
