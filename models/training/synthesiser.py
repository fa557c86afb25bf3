"""Runs the synthesiser's ONNX graph in PyTorch, on a GPU or a CPU, with its 8-bit weights as floats.

ONNX Runtime quantises every activation anew and needs 2.6 core seconds for a second of speech. Here
`DynamicQuantizeLinear` passes its input on with scale 1 and zero point 0, and the integer products
become float products with (weight - zero point), so that the graph's own `Cast` and `Mul` by the
weight's scale still give the right size. The graph's harmonic source lost its noise when it was
exported; it is put back, because without it "s" and "f" are thin. The graph also tells how many frames each phoneme takes
(`DURATIONS`), so that several sentences can be spoken in one run and cut apart at the right place.
"""

import numpy as np
import onnx
import torch
import torch.nn.functional as F
from onnx import numpy_helper

DURATIONS = "/encoder/Clip_output_0"
SAMPLES_A_FRAME = 600
SAMPLE_RATE = 24_000
VOICED = "/decoder/decoder/generator/m_source/l_sin_gen/Mul_6"  # sines times the voicing, [1, samples, 9]
NOISE_VOICED, NOISE_UNVOICED = 0.003, 0.1 / 3  # of the harmonic-plus-noise source, beside sines of 0.1
TYPES = {1: torch.float32, 6: torch.int64, 7: torch.int64, 9: torch.bool}


def ints(value) -> list[int]:
    return [int(v) for v in value.reshape(-1).tolist()]


def bidirectional_lstm(x, w, r, bias, w_scale, w_zero, r_scale, r_zero):
    """ONNX's quantised LSTM weights -> a torch LSTM; gates i, o, f, c become i, f, c, o."""
    hidden = r.shape[1]
    lstm = torch.nn.LSTM(w.shape[1], hidden, bidirectional=True)

    def floats(q, scale, zero):
        scale = scale.reshape(2, 1, -1) if scale.numel() > 1 else scale
        zero = zero.reshape(2, 1, -1) if zero.numel() > 1 else zero
        return ((q.float() - zero.float()) * scale.to(q.device)).transpose(1, 2)

    def order(t):
        i, o, f, c = t.chunk(4)
        return torch.cat([i, f, c, o])

    w, r = floats(w, w_scale, w_zero), floats(r, r_scale, r_zero)
    for direction, suffix in enumerate(("", "_reverse")):
        values = {
            "weight_ih_l0": order(w[direction]),
            "weight_hh_l0": order(r[direction]),
            "bias_ih_l0": order(bias[direction, : 4 * hidden]),
            "bias_hh_l0": order(bias[direction, 4 * hidden :]),
        }
        for name, value in values.items():
            getattr(lstm, name + suffix).data.copy_(value)
    return lstm.to(x.device).requires_grad_(False)


class Synthesiser:
    def __init__(self, path: str, device: str = "cpu") -> None:
        self.device = device
        graph = onnx.load(path).graph
        self.constants = {t.name: self.tensor(numpy_helper.to_array(t)) for t in graph.initializer}
        self.prepared: dict[str, object] = {}
        last_use = {name: index for index, node in enumerate(graph.node) for name in node.input}
        self.nodes = []
        for index, node in enumerate(graph.node):
            attributes = {a.name: onnx.helper.get_attribute_value(a) for a in node.attribute}
            done = {n for n in node.input if last_use[n] == index and n not in self.constants and n != DURATIONS}
            self.nodes.append((getattr(self, "op_" + node.op_type), node.name, list(node.input), list(node.output), attributes, done))

    def tensor(self, array: np.ndarray) -> torch.Tensor:
        """Whole numbers and scalars stay on the CPU: the graph's size arithmetic runs there, and a read costs no wait."""
        t = torch.from_numpy(np.array(array))
        if t.dtype in (torch.int32, torch.int64):
            return t.long()
        small = t.dim() == 0 or (t.dim() == 1 and t.numel() <= 3)
        return t if small and t.dtype == torch.float32 else t.to(self.device)

    @torch.no_grad()
    def __call__(self, ids: list[int], style: np.ndarray, speed: float) -> tuple[np.ndarray, np.ndarray]:
        """Samples at 24 kHz (floats), and the number of frames of `SAMPLES_A_FRAME` each phoneme takes."""
        values = dict(self.constants)
        values["tokens"] = torch.tensor([ids])
        values["style"] = torch.tensor(style, dtype=torch.float32, device=self.device)
        values["speed"] = torch.tensor([speed], dtype=torch.float32, device=self.device)
        for run, name, inputs, outputs, attributes, done in self.nodes:
            got = run(name, [values[i] if i else None for i in inputs], attributes)
            for output, value in zip(outputs, got if isinstance(got, (tuple, list)) else [got]):
                values[output] = value
            for spent in done:
                values.pop(spent, None)
        return values["audio"].reshape(-1).float().cpu().numpy(), values[DURATIONS].reshape(-1).cpu().numpy().astype("i8")

    def same_device(self, *tensors):
        if any(t.is_cuda for t in tensors):
            return [t if t.is_cuda or t.dim() == 0 else t.to(self.device) for t in tensors]
        return tensors

    def prepare(self, name: str, make):
        if name not in self.prepared:
            self.prepared[name] = make()
        return self.prepared[name]

    # Quantised operators as float operators.
    def op_DynamicQuantizeLinear(self, name, i, a):
        return i[0], torch.ones(()), torch.zeros(())

    def op_DequantizeLinear(self, name, i, a):
        return (i[0].float() - i[2].float()) * i[1].to(i[0].device)

    def op_MatMulInteger(self, name, i, a):
        return torch.matmul(i[0], self.weight(name, i))

    def weight(self, name, i):
        """(weight - zero point) as floats; its last input is the zero point, a scalar or one a channel."""

        def make():
            zero = i[3].float()
            if zero.dim() == 1 and zero.numel() > 1:
                zero = zero.reshape(-1, *[1] * (i[1].dim() - 1)) if "conv" in name.lower() and i[1].dim() == 3 else zero
            return i[1].float() - zero

        return make() if i[1].dtype == torch.float32 else self.prepare(name, make)

    def op_ConvInteger(self, name, i, a):
        return self.convolution(i[0], self.weight(name, i), None, a)

    def op_Conv(self, name, i, a):
        return self.convolution(i[0], i[1], i[2], a)

    def convolution(self, x, w, bias, a):
        left, right = a["pads"]
        assert left == right
        return F.conv1d(x, w, bias, a["strides"][0], left, a["dilations"][0], a["group"])

    def op_ConvTranspose(self, name, i, a):
        left, right = a["pads"]
        assert left == right
        extra = a.get("output_padding", [0])[0]
        return F.conv_transpose1d(i[0], i[1], i[2] if len(i) > 2 else None, a["strides"][0], left, extra, a["group"], a["dilations"][0])

    def op_DynamicQuantizeLSTM(self, name, i, a):
        x, w, r, bias, _, h, c, _, w_scale, w_zero, r_scale, r_zero = i
        lstm = self.prepare(name, lambda: bidirectional_lstm(x, w, r, bias, w_scale, w_zero, r_scale, r_zero))
        out, (h, c) = lstm(x, (h.to(x.device), c.to(x.device)))
        return out.reshape(*out.shape[:2], 2, -1).transpose(1, 2), h, c

    # Arithmetic.
    def op_Mul(self, name, i, a):
        x, y = self.same_device(*i)
        if name == VOICED:
            level = NOISE_UNVOICED + (NOISE_VOICED - NOISE_UNVOICED) * y
            return x * y + level * torch.randn_like(x)
        return x * y

    def op_Add(self, name, i, a):
        x, y = self.same_device(*i)
        return x + y

    def op_Sub(self, name, i, a):
        x, y = self.same_device(*i)
        return x - y

    def op_Div(self, name, i, a):
        x, y = self.same_device(*i)
        return x // y if x.dtype == torch.int64 else x / y

    def op_Pow(self, name, i, a):
        x, y = self.same_device(*i)
        return x * x if y.numel() == 1 and y.item() == 2 else x**y

    def op_Equal(self, name, i, a):
        x, y = self.same_device(*i)
        return x == y

    def op_Greater(self, name, i, a):
        x, y = self.same_device(*i)
        return x > y

    def op_Less(self, name, i, a):
        x, y = self.same_device(*i)
        return x < y

    def op_GreaterOrEqual(self, name, i, a):
        x, y = self.same_device(*i)
        return x >= y

    def op_And(self, name, i, a):
        return i[0] & i[1]

    def op_Where(self, name, i, a):
        return torch.where(*self.same_device(*i))

    def op_Sqrt(self, name, i, a):
        return i[0].sqrt()

    def op_Floor(self, name, i, a):
        return i[0].floor()

    def op_Round(self, name, i, a):
        return i[0].round()

    def op_Sin(self, name, i, a):
        return i[0].sin()

    def op_Cos(self, name, i, a):
        return i[0].cos()

    def op_Exp(self, name, i, a):
        return i[0].exp()

    def op_Tanh(self, name, i, a):
        return i[0].tanh()

    def op_Atan(self, name, i, a):
        """Phase of a spectrum: where it is empty, 0 / 0 stands for no phase at all."""
        return torch.where(i[0].isnan(), 0.0, i[0].atan())

    def op_Sigmoid(self, name, i, a):
        return i[0].sigmoid()

    def op_Clip(self, name, i, a):
        return i[0].clamp(min=i[1].item())

    def op_LeakyRelu(self, name, i, a):
        return F.leaky_relu(i[0], a["alpha"])

    def op_FastGelu(self, name, i, a):
        return F.gelu(i[0] + i[1], approximate="tanh")

    def op_Softmax(self, name, i, a):
        return i[0].softmax(a["axis"])

    def op_LayerNormalization(self, name, i, a):
        return F.layer_norm(i[0], i[1].shape, i[1], i[2], a["epsilon"])

    def op_SkipLayerNormalization(self, name, i, a):
        return F.layer_norm(i[0] + i[1], i[2].shape, i[2], i[3], a["epsilon"])

    def op_MatMul(self, name, i, a):
        return torch.matmul(*self.same_device(*i))

    def op_FusedMatMul(self, name, i, a):
        x, y = self.same_device(*i)
        return torch.matmul(x.transpose(-1, -2) if a["transA"] else x, y) * a["alpha"]

    def op_ReduceMean(self, name, i, a):
        return i[0].mean(ints(i[1]), keepdim=bool(a["keepdims"]))

    def op_ReduceSum(self, name, i, a):
        return i[0].sum(ints(i[1]), keepdim=bool(a["keepdims"]))

    def op_CumSum(self, name, i, a):
        return i[0].cumsum(int(i[1]))

    def op_STFT(self, name, i, a):
        signal, step, window, length = i
        frames = signal.reshape(signal.shape[0], -1).unfold(1, int(length), int(step)) * window
        return torch.view_as_real(torch.fft.rfft(frames))

    # Shapes and selection.
    def op_Shape(self, name, i, a):
        return torch.tensor(i[0].shape)

    def op_Cast(self, name, i, a):
        kind = TYPES[a["to"]]
        return i[0] if i[0].dtype == torch.float32 and kind == torch.float32 else i[0].to(kind)

    def op_Gather(self, name, i, a):
        x, index = i
        axis = a["axis"]
        if index.dim() == 0:
            return x.select(axis, int(index))
        index = index.to(x.device)
        got = x.index_select(axis, index.reshape(-1))
        return got.reshape(*x.shape[:axis], *index.shape, *x.shape[axis + 1 :])

    def op_Split(self, name, i, a):
        return i[0].split(ints(i[1]), a["axis"])

    def op_Unsqueeze(self, name, i, a):
        x = i[0]
        for axis in sorted(ints(i[1])):
            x = x.unsqueeze(axis)
        return x

    def op_Squeeze(self, name, i, a):
        x = i[0]
        for axis in sorted(ints(i[1]), reverse=True):
            x = x.squeeze(axis)
        return x

    def op_Transpose(self, name, i, a):
        return i[0].permute(a["perm"])

    def op_Concat(self, name, i, a):
        return torch.cat(self.same_device(*i), a["axis"])

    def op_Reshape(self, name, i, a):
        return i[0].reshape([i[0].shape[k] if v == 0 else v for k, v in enumerate(ints(i[1]))])

    def op_Expand(self, name, i, a):
        return i[0].expand(torch.broadcast_shapes(i[0].shape, ints(i[1])))

    def op_ConstantOfShape(self, name, i, a):
        value = numpy_helper.to_array(a["value"])[0]
        return torch.full(ints(i[0]), value.item(), dtype=torch.from_numpy(np.array(value)).dtype)

    def op_Range(self, name, i, a):
        return torch.arange(int(i[0]), int(i[1]), int(i[2]))

    def op_NonZero(self, name, i, a):
        return torch.stack(torch.nonzero(i[0], as_tuple=True))

    def op_Slice(self, name, i, a):
        x, starts, ends = i[0], ints(i[1]), ints(i[2])
        axes = ints(i[3]) if len(i) > 3 and i[3] is not None else list(range(len(starts)))
        steps = ints(i[4]) if len(i) > 4 and i[4] is not None else [1] * len(starts)
        for start, end, axis, step in zip(starts, ends, axes, steps, strict=True):
            if step < 0:
                assert step == -1 and start == -1, "only whole reversals are used"
                x = x.flip(axis)
            else:
                x = x[(slice(None),) * (axis % x.dim()) + (slice(start, min(end, 1 << 40), step),)]
        return x

    def op_Pad(self, name, i, a):
        pads = ints(i[1])
        half = len(pads) // 2
        x, shape = i[0], i[0].shape
        flat = x.reshape(-1, shape[-1])[None]
        assert not any(pads[: half - 1]) and not any(pads[half:-1]), "only the last axis is padded"
        return F.pad(flat, (pads[half - 1], pads[-1]), mode="reflect")[0].reshape(*shape[:-1], -1)

    def op_Resize(self, name, i, a):
        scale = i[2].tolist()[-1]
        if a["mode"] == b"nearest":
            return F.interpolate(i[0], scale_factor=scale, mode="nearest")
        return F.interpolate(i[0], scale_factor=scale, mode="linear", align_corners=False)

    def op_ScatterND(self, name, i, a):
        x, index, updates = i
        out = x.clone()
        out[tuple(index.to(x.device).unbind(-1))] = updates.to(x.device)
        return out
