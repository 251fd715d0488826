-- What wrk sends, and what it tells of the run. `-- FOLDER`: each thread has a file there, its token
-- in the first line, then a body a line; without a folder it asks by GET as the command line says.

local count = 0

function setup(thread)
   thread:set("number", count)
   count = count + 1
end

function init(args)
   if not args[1] then return end
   local file = assert(io.open(args[1] .. "/" .. number, "rb"))
   local headers = {
      ["Authorization"] = "Bearer " .. file:read("*l"),
      ["Content-Type"] = "application/json",
   }
   said, sent = {}, 0
   for body in file:lines() do
      said[#said + 1] = wrk.format("POST", nil, headers, body)
   end
   file:close()
   function request()
      sent = sent + 1
      return said[math.min(sent, #said)]
   end
end

function done(summary, latency, requests)
   local wrong = summary.errors
   io.write(string.format(
      '\n{"requests":%d,"seconds":%f,"wrong":%d,"p50":%f,"p99":%f}\n',
      summary.requests, summary.duration / 1e6,
      wrong.connect + wrong.read + wrong.write + wrong.status + wrong.timeout,
      latency:percentile(50) / 1000, latency:percentile(99) / 1000
   ))
end
