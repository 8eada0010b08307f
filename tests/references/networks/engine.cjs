// Solves the models that come in on standard input, a JSON object of texts by name, and answers with flows by link.
// The folder in which the engine is installed is the first argument.
const path = require("node:path");
const folder = path.resolve(process.argv[2]);
const { Project, Workspace, CountType, LinkProperty, AnalysisStatistic, InitHydOption } = require(require.resolve("epanet-js", { paths: [folder] }));

function solved(workspace, text) {
  workspace.writeFile("model.inp", text);
  const model = new Project(workspace);
  const answer = { flows: {} };
  try {
    model.open("model.inp", "model.rpt", "model.bin");
    model.openH();
    model.initH(InitHydOption.NoSave);
    model.runH();
    const links = model.getCount(CountType.LinkCount);
    for (let link = 1; link <= links; ++link) answer.flows[model.getLinkId(link)] = model.getLinkValue(link, LinkProperty.Flow);
    answer.trials = model.getStatistic(AnalysisStatistic.Iterations);
    answer.error = model.getStatistic(AnalysisStatistic.RelativeError);
    answer.head_error = model.getStatistic(AnalysisStatistic.MaxHeadError);
    model.closeH();
  } catch (error) {
    answer.failed = String(error.message);
  }
  try { model.close(); } catch (error) { answer.failed ??= String(error.message); }
  if (answer.failed) try { answer.report = workspace.readFile("model.rpt").slice(-1500); } catch { /* there may be none */ }
  return answer;
}

async function main() {
  let text = "";
  for await (const part of process.stdin) text += part;
  const models = JSON.parse(text), answers = {};
  const workspace = new Workspace();
  await workspace.loadModule?.();
  for (const name of Object.keys(models)) answers[name] = solved(workspace, models[name]);
  process.stdout.write(JSON.stringify(answers));
}
main().catch((error) => { process.stderr.write(String(error.stack) + "\n"); process.exit(1); });
